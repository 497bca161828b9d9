"""A contact between a pin and ground, with its planned changes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from math import inf
from operator import itemgetter

from panelbridge.simboard.contacts.bounce import Change


class PlannedContact:
    """A contact between a pin and ground.

    Attributes:
        closed: it connects its pin to ground.
    """

    __slots__ = ("_planned", "closed")

    def __init__(self) -> None:
        self.closed = False
        self._planned: deque[Change] = deque()

    @property
    def next_change_s(self) -> float:
        """When the next planned change is due; infinity when none is planned."""
        return self._planned[0][0] if self._planned else inf

    def replace_plan(self, changes: Iterable[Change]) -> None:
        """Plan ``changes`` in place of those planned before."""
        self._planned = deque(sorted(changes, key=itemgetter(0)))

    def take_change(self) -> Change:
        """Remove the next planned change and return it; ``closed`` is left to the caller."""
        return self._planned.popleft()
