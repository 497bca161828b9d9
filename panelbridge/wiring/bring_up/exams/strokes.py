"""Collects what moves while a switch is put from one position to the other."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.config.panel_wires import Place

_Change = tuple[float, Place, bool]
"""When, s; which pin; whether it is closed now."""
QUIET_S = 0.6
"""A movement is over when nothing has changed for this time, s."""


class Moved(Struct, frozen=True):
    """A pin that differed between the two positions.

    Attributes:
        first: closed in the first position.
        left_first_s: when it left that, s.
    """

    first: bool
    left_first_s: float


class TwoPositions:
    """The pins that move between two positions, which are asked for in turn.

    Args:
        springs_back: a button may be back before the second position is asked for.

    Attributes:
        stage: 0 or 1: which position is asked for; 2: both have been seen.
    """

    def __init__(self, *, springs_back: bool) -> None:
        self._springs_back = springs_back
        self.stage = 0
        self._changes: tuple[list[_Change], list[_Change]] = ([], [])
        self._first: dict[Place, bool] = {}

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A pin has changed."""
        if self.stage < 2:
            self._changes[self.stage].append((now_s, place, closed))

    def tick(self, now_s: float) -> bool:
        """Time has passed; returns whether a position has been reached."""
        if self.stage == 2:
            return False
        changes = self._changes[self.stage]
        if not changes or now_s < changes[-1][0] + QUIET_S:
            return False
        if self.stage == 0:
            return self._end_first(changes)
        self.stage = 2
        return True

    def _end_first(self, changes: list[_Change]) -> bool:
        last = {place: closed for _, place, closed in changes}
        start = {place: not closed for _, place, closed in reversed(changes)}
        if last != start:
            self._first = last
            self.stage = 1
            return True
        if self._springs_back:
            # Pressed and let go: the first change was the press.
            self._first = {place: not closed for place, closed in start.items()}
            self._changes[1].extend(one for one in changes if one[2] != self._first[one[1]])
            self.stage = 2
            return True
        changes.clear()
        return False

    def moved(self) -> dict[Place, Moved]:
        """The pins that differ between the positions, once both have been seen."""
        last: dict[Place, bool] = {}
        left_s: dict[Place, float] = {}
        first = dict(self._first)
        for at_s, place, closed in self._changes[1]:
            # One that moved in the second stage only was in the other state in the first.
            first.setdefault(place, not closed)
            last[place] = closed
            if closed != first[place]:
                left_s.setdefault(place, at_s)
        return {
            place: Moved(first[place], left_s[place])
            for place, closed in last.items()
            if closed != first[place]
        }
