"""Collects what moves while a switch is put from one position to the other."""

from __future__ import annotations

from dataclasses import dataclass, field

from panelbridge.config.panel_wires import Place

QUIET_S = 0.6
"""A movement is over when nothing has changed for this time, s."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A pin that differed between the two positions.

    Attributes:
        first: closed in the first position.
        left_first_s: when it left that, s.
    """

    first: bool
    left_first_s: float


@dataclass(slots=True)
class _Stage:
    changes: list[tuple[float, Place, bool]] = field(default_factory=list)

    @property
    def last_s(self) -> float:
        return self.changes[-1][0] if self.changes else 0.0


class TwoPositions:
    """The pins that move between two positions, which are asked for in turn.

    Args:
        springs_back: a button may be back before the second position is asked for.
    """

    def __init__(self, *, springs_back: bool) -> None:
        self._springs_back = springs_back
        self._stages = [_Stage(), _Stage()]
        self._at = 0
        self._first: dict[Place, bool] = {}

    @property
    def stage(self) -> int:
        """0 or 1: which position is asked for; 2: both have been seen."""
        return self._at

    @property
    def has_moved(self) -> bool:
        """Something has moved since the question."""
        return self._at < 2 and bool(self._stages[self._at].changes)

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A pin has changed."""
        if self._at < 2:
            self._stages[self._at].changes.append((now_s, place, closed))

    def tick(self, now_s: float) -> bool:
        """Time has passed; returns whether a position has been reached."""
        if self._at >= 2:
            return False
        stage = self._stages[self._at]
        if not stage.changes or now_s < stage.last_s + QUIET_S:
            return False
        if self._at == 0:
            return self._end_first(stage)
        self._at = 2
        return True

    def _end_first(self, stage: _Stage) -> bool:
        last = {place: closed for _, place, closed in stage.changes}
        start: dict[Place, bool] = {}
        for _, place, closed in stage.changes:
            start.setdefault(place, not closed)
        if any(last[place] != start[place] for place in last):
            self._first = last
            self._at = 1
            return True
        if self._springs_back:
            # Pressed and let go: the first change was the press.
            self._first = {place: not closed for place, closed in start.items()}
            self._stages[1].changes = [
                change for change in stage.changes if change[2] != self._first[change[1]]
            ]
            self._at = 2
            return True
        stage.changes.clear()
        return False

    def moved(self) -> dict[Place, Moved]:
        """The pins that differ between the positions, once both have been seen."""
        last: dict[Place, bool] = {}
        left_s: dict[Place, float] = {}
        first = dict(self._first)
        for at_s, place, closed in self._stages[1].changes:
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
