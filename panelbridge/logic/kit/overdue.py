"""A condition that holds for longer than a limit; part of a system's memory."""

from __future__ import annotations

from math import inf

from msgspec import Struct


class Overdue(Struct, frozen=True):
    """A condition against a limit.

    Attributes:
        due_s: when it will have held for too long, s; inf = it does not hold, or has already.
        holds: it has held for longer than the limit.
    """

    due_s: float = inf
    holds: bool = False

    def take(self, now_s: float, condition: bool, limit_s: float | None) -> Overdue:
        """The condition now.

        Args:
            now_s: seconds.
            condition: it holds.
            limit_s: for how long it may, s; None = for ever.
        """
        if not condition or limit_s is None:
            return _NEVER
        if self.holds:
            return self
        if now_s >= self.due_s:
            return _PASSED
        return self if self.due_s < inf else Overdue(now_s + limit_s)


_NEVER, _PASSED = Overdue(), Overdue(holds=True)
