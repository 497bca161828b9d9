"""A number between limits: almost every step asks only whether it has left its band.

Many rules hold one number (airspeed, altitude) against many limits. The limits cut the number line
into bands; while the number stays in its band no rule can change, and two comparisons say so.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from math import inf, isnan, nextafter

NEVER_CALM = (inf, -inf)
"""A band that no number is in."""


class Bands:
    """Watches one number against limits.

    A number *at* a limit belongs to the band below it, so that a rule "above the limit" begins just
    beyond it. Rules with the other sense give the next smaller number as their limit
    (``below(x)``).

    Args:
        limits: every limit that matters, in any order.
    """

    def __init__(self, limits: Iterable[float]) -> None:
        self._limits = sorted(set(limits))
        # Unknown is in no band: the first number that comes has left it.
        self._low, self._high = inf, -inf
        self._unknown = True
        self.value: float | None = None
        """The number as it was when it last left its band; None when unknown."""

    @property
    def between(self) -> tuple[float, float]:
        """The band: above the first number and up to the second nothing changes."""
        return self._low, self._high

    def take(self, value: float | None) -> bool:
        """Take the number; True when it has left its band, or has become known or unknown."""
        if value is not None and self._low < value <= self._high:
            return False
        if value is None or isnan(value):
            changed = not self._unknown
            self._unknown, self.value = True, None
            self._low, self._high = inf, -inf
            return changed
        place = bisect_left(self._limits, value)
        self._low = self._limits[place - 1] if place else -inf
        self._high = self._limits[place] if place < len(self._limits) else inf
        self._unknown, self.value = False, value
        return True


def below(limit: float) -> float:
    """The limit to give for a rule that holds below ``limit`` and not at it."""
    return nextafter(limit, -inf)
