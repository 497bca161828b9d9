"""A knob or lever on the bench."""

from __future__ import annotations

from math import inf

from panelbridge.bench.language.plan import FaultKind
from panelbridge.config.panel_file import LeverSwitch
from panelbridge.errors import LogicError


class LeverOnBench:
    """A knob or lever, anywhere from 0 to 1; it does not bounce.

    Args:
        name: its name.
        board: its board.
        start: where it stands.
        when_dead: what is read when its wire is off, 0 to 1.
    """

    next_due_s = inf
    noisy = False

    def __init__(self, name: str, board: str, start: float, when_dead: float) -> None:
        self.name = name
        self.board = board
        self._when_dead = when_dead
        self._stands = self._reads = start
        self._broken = False

    def read(self) -> float:
        """What the logic gets."""
        return self._reads

    def advance(self, now_s: float) -> None:
        """Nothing: it does nothing by itself."""

    def move(self, now_s: float, position: str | float) -> None:
        """Put it somewhere. Raises: LogicError: it does not go there."""
        if not isinstance(position, (int, float)) or not 0.0 <= position <= 1.0:
            raise LogicError(f"{self.name} cannot be put to {position}")
        self._stands = float(position)
        if not self._broken:
            self._reads = self._stands

    def break_down(self, now_s: float, kind: FaultKind, for_s: float) -> None:
        """Break it. Raises: LogicError: it cannot break so."""
        if kind not in (FaultKind.STUCK, FaultKind.DEAD):
            raise LogicError(f"{self.name} has no contacts that could be {kind}")
        self._broken = True
        if kind is FaultKind.DEAD:
            self._reads = self._when_dead

    def mend(self, now_s: float) -> None:
        """Mend it: it reads where it stands."""
        self._broken = False
        self._reads = self._stands

    def power_up(self) -> None:
        """Nothing: its board reads what is there."""


def lever_fraction(name: str, start: str | float) -> float:
    """Where a lever stands. Raises: LogicError: it cannot stand there."""
    if isinstance(start, str) or not 0.0 <= start <= 1.0:
        raise LogicError(f"{name} cannot be put to {start}")
    return float(start)


def dead_fraction(wired: LeverSwitch) -> float:
    """A wiper that is off reads no counts."""
    span = wired.counts_at_1 - wired.counts_at_0
    return min(max(-wired.counts_at_0 / span, 0.0), 1.0) if span else 0.0
