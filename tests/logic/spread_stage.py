"""A stage whose inputs are in the words of a test: one of them may set several cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from panelbridge.logic.kit.system import System
from tests.logic.laws import Move
from tests.logic.stage import Input, Moment, Stage

S = TypeVar("S", bound=System[Any])
Spread = Mapping[str, Callable[[Any], Mapping[str, Any]]]
"""What an input of a test sets, by the names of the cells."""


class SpreadStage(Stage[S]):
    """One system, and what each input of the test is.

    Args:
        system: the system.
        names: what each cell is called.
        spread: inputs of the test that set other cells than the one of their name.
        given: systems ``beside`` it, and what the inputs are at first; others are unknown.
    """

    def __init__(
        self, system: S, names: Mapping[str, Input], spread: Spread | None = None, **given: Any
    ) -> None:
        self._spread: Spread = spread or {}
        self.inputs: dict[str, Any] = {}
        super().__init__(system, names, **given)

    def resume(self, other: Stage[S]) -> None:
        """Go on from where another stage of the same system is."""
        super().resume(other)
        assert isinstance(other, SpreadStage)
        self.inputs = dict(other.inputs)

    def _set(self, changes: Mapping[str, Any]) -> None:
        self.inputs.update(changes)
        cells: dict[str, Any] = {}
        for name, value in changes.items():
            cells.update(self._spread[name](value) if name in self._spread else {name: value})
        super()._set(cells)


def moves_of(moments: list[Moment]) -> list[Move]:
    """The same with faults as inputs; the stage names each fault as the system does."""
    return [
        (wait_s, changes if fault is None else {**changes, fault[0]: fault[1]})
        for wait_s, changes, fault in moments
    ]
