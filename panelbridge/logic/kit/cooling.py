"""A temperature that decays towards its surroundings, as a function of time.

One body cools by one exponential; a body that another one heats is the sum of two, and goes through
a peak. Units are the caller's; times are seconds.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, inf, log

from msgspec import Struct


class Cooling(Struct, frozen=True):
    """The sum of two exponentials over what it comes to rest at.

    Attributes:
        since_s: when it began, s; before that it stands.
        rest: what it comes to rest at.
        fast: size of the part that decays faster, at the beginning; may be negative.
        fast_s: its time constant, s.
        slow: size of the other part, at the beginning.
        slow_s: its time constant, s; above ``fast_s``.
    """

    since_s: float = 0.0
    rest: float = 0.0
    fast: float = 0.0
    fast_s: float = 1.0
    slow: float = 0.0
    slow_s: float = 2.0

    def at(self, now_s: float) -> float:
        """Its value at ``now_s``."""
        gone_s = max(now_s - self.since_s, 0.0)
        fast = self.fast * exp(-gone_s / self.fast_s) if self.fast else 0.0
        slow = self.slow * exp(-gone_s / self.slow_s) if self.slow else 0.0
        return self.rest + fast + slow

    @property
    def turns_s(self) -> float:
        """When it turns round, s: its peak; -inf when it does not, or did before it began."""
        if self.fast * self.slow >= 0.0:
            return -inf
        ratio = -self.fast * self.slow_s / (self.slow * self.fast_s)
        gone_s = log(ratio) / (1.0 / self.fast_s - 1.0 / self.slow_s)
        return self.since_s + gone_s if gone_s > 0.0 else -inf

    def reaches(self, level: float, after_s: float) -> float:
        """When it is on ``level``, strictly after ``after_s``, s; inf = never."""
        for start_s, end_s in self._pieces(max(after_s, self.since_s)):
            first, last = self.at(start_s) - level, self.at(end_s) - level
            if first * last < 0.0:
                return self._crossing(level, start_s, end_s)
            if not last and first and end_s < inf:
                return end_s
        return inf

    def _pieces(self, start_s: float) -> Iterator[tuple[float, float]]:
        """The parts in which it only rises or only falls."""
        peak_s = self.turns_s
        if start_s < peak_s:
            yield start_s, peak_s
            start_s = peak_s
        yield start_s, inf

    def _crossing(self, level: float, low_s: float, high_s: float) -> float:
        over = self.at(low_s) > level
        if high_s == inf:
            span_s = self.fast_s
            while (self.at(low_s + span_s) > level) is over:
                span_s *= 2.0
            high_s = low_s + span_s
        while low_s < (middle_s := 0.5 * (low_s + high_s)) < high_s:
            if (self.at(middle_s) > level) is over:
                low_s = middle_s
            else:
                high_s = middle_s
        return high_s
