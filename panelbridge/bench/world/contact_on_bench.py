"""One contact on the bench: what it does, and what its board makes of that."""

from __future__ import annotations

from collections import deque

from panelbridge.logic.debounce import Debouncer


class Contact:
    """One contact with its debouncer.

    Args:
        made_at: the position in which it is made.
        settle_s: debouncing time of its board, s.
        hold: a change counts at once and is then held; else once the contact is quiet.
        made: it is made at the start.
        made_when_open: a wire that is off reads as made (a normally closed contact).
    """

    def __init__(
        self,
        made_at: str,
        settle_s: float,
        *,
        made: bool,
        made_when_open: bool = False,
        hold: bool = False,
    ) -> None:
        self.made_at = made_at
        self.settle_s = settle_s
        self.made_when_open = made_when_open
        self.raw = made
        self.planned: deque[tuple[float, bool]] = deque()
        self._hold = hold
        self._debouncer = Debouncer(settle_s, hold, initial=made)

    @property
    def made(self) -> bool:
        """Made, after debouncing."""
        return self._debouncer.stable is True

    @property
    def noisy(self) -> bool:
        """It bounces for longer than debouncing can hide."""
        return self._debouncer.noisy

    @property
    def next_due_s(self) -> float:
        """When it changes by itself, or has settled."""
        due_s = self._debouncer.due_s
        return min(due_s, self.planned[0][0]) if self.planned else due_s

    def advance(self, now_s: float) -> None:
        """Do what is due."""
        planned, debouncer = self.planned, self._debouncer
        while planned and planned[0][0] <= now_s:
            at_s, self.raw = planned.popleft()
            debouncer.sample(at_s, self.raw)
        if debouncer.due_s <= now_s:
            debouncer.sample(now_s, self.raw)

    def put(self, now_s: float, *, made: bool) -> None:
        """Make or open it now, whatever was planned."""
        self.planned.clear()
        self.raw = made
        self._debouncer.sample(now_s, made)

    def power_up(self) -> None:
        """Its board begins anew: what it finds counts as settled."""
        self._debouncer = Debouncer(self.settle_s, self._hold, initial=self.raw)
