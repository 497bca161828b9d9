"""Lines about switches that move: the first wires can be seen by them."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.logic.switches import Declared, words_of
from panelbridge.signals import HandleContacts, SwitchState

LEVER_STEP = 0.02
"""A lever that moves by less is noise of its potentiometer."""


class SwitchLines:
    """Says what has moved since the last look.

    Args:
        declared: the switches that the aircraft knows.
    """

    def __init__(self, declared: Declared) -> None:
        self._declared = declared
        self._shown: dict[str, HandleContacts | bool | float] = {}

    def moved(self, now_s: float, switches: SwitchState) -> Iterator[str]:
        """A line for each switch that is found elsewhere, or found for the first time."""
        for name, position in switches.positions.items():
            before = self._shown.get(name)
            if before == position or _is_noise(before, position):
                continue
            self._shown[name] = position
            yield f"{now_s:9.2f} s      switch {name:<26} {self._word(name, position)}"
        for name in self._shown.keys() - switches.positions.keys():
            del self._shown[name]
            yield f"{now_s:9.2f} s      switch {name:<26} unknown"

    def _word(self, name: str, position: HandleContacts | bool | float) -> str:
        if isinstance(position, HandleContacts):
            return position.value
        if isinstance(position, bool):
            words = words_of(name, self._declared)
            return words.operated if position else words.free
        return f"{position:.0%}"


def _is_noise(before: object, position: object) -> bool:
    if isinstance(before, bool) or not isinstance(before, float) or not isinstance(position, float):
        return False
    return abs(position - before) < LEVER_STEP and 0.0 < position < 1.0
