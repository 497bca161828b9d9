"""A number on a straight line, and the limit that it reaches next.

Leaks, bleeding and filling go on by themselves. A system acts at the limits only, at their times,
where the number is the limit itself and not its neighbour by rounding.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, nextafter

from msgspec import Struct

from panelbridge.logic.kit.curves import Line


class Drift(Struct, frozen=True):
    """A number that may change by itself; part of a system's memory.

    Attributes:
        line: the number as a function of time, for facts.
        target: the limit that it reaches next.
        due_s: when it does, s: the system must look then; inf = never.
    """

    line: Line
    target: float = 0.0
    due_s: float = inf

    def at(self, now_s: float) -> float:
        """The number now; at the limit it is the limit, exactly."""
        return self.target if now_s >= self.due_s else self.line.at(now_s)

    def moved(self, now_s: float, value: float, rate: float, limits: Iterable[float]) -> Drift:
        """The number that goes on from a value; itself when it does so already.

        Args:
            now_s: seconds.
            value: the number now.
            rate: its change a second.
            limits: numbers at which the system has to look; it stops at none of them.
        """
        line = self.line
        if now_s < self.due_s and rate == line.rate and value == line.at(now_s):
            return self
        # Standing still is the same whenever it began: facts that hold it stay equal.
        line = Line(now_s if rate else 0.0, value, rate, line.low, line.high)
        if rate > 0.0:
            target = min([limit for limit in limits if limit > value], default=inf)
        else:
            target = max([limit for limit in limits if limit < value], default=-inf)
        if not rate or abs(target) == inf:
            return Drift(line)
        # The next number above a limit may be too near for the clock to tell the times apart.
        return Drift(line, target, max(now_s + (target - value) / rate, nextafter(now_s, inf)))
