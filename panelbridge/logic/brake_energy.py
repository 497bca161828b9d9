"""Stored energy of the brakes, counted in full applications.

Without pressure from a pump each application takes from the accumulator what it rises by; with
pressure the accumulator fills again, evenly. Source: 14 CFR 25.735(h) (usable stored energy is
indicated; at least six full applications with the anti-skid not operating).
"""

from __future__ import annotations

from collections.abc import Hashable
from math import inf, nextafter

from panelbridge.clock import TimerHeap


class BrakeEnergy:
    """The accumulator of the brakes.

    Args:
        applications: how many full applications it holds when it is full.
        low: with so many left or fewer it is low.
        recharge_s: from empty to full, s, > 0.
        timers: for the end of *low* and of filling.
        timer: name of its timer.
    """

    def __init__(
        self,
        applications: float,
        low: float,
        recharge_s: float,
        timers: TimerHeap,
        timer: Hashable,
    ) -> None:
        self._full = applications
        self._low = low
        self._rate_per_s = applications / recharge_s
        self._timers = timers
        self._timer = timer
        self._charges = False
        self._broken = False
        self._from, self._from_s = applications, 0.0
        self._next = applications

    def left(self, now_s: float) -> float:
        """Full applications that are left."""
        if not self._fills:
            return self._from
        return min(self._from + (now_s - self._from_s) * self._rate_per_s, self._full)

    def is_low(self, now_s: float) -> bool:
        """So many are left as count as low, or fewer."""
        return self.left(now_s) <= self._low

    def charge(self, now_s: float, *, charges: bool) -> None:
        """Whether a pump gives pressure, from now on."""
        if charges is not self._charges:
            left = self.left(now_s)
            self._charges = charges
            self._set(now_s, left)

    def use(self, now_s: float, applications: float) -> None:
        """Take so many; those that are not there are not taken."""
        self._set(now_s, max(self.left(now_s) - applications, 0.0))

    def break_down(self, now_s: float, *, broken: bool) -> None:
        """Lose everything and hold nothing any more; mended it is full."""
        self._broken = broken
        self._set(now_s, 0.0 if broken else self._full)

    def timer_due(self, now_s: float) -> None:
        """Its timer came due: it has been filled to a limit, exactly."""
        self._set(now_s, self._next)

    @property
    def _fills(self) -> bool:
        return self._charges and not self._broken

    def _set(self, now_s: float, left: float) -> None:
        self._from, self._from_s = left, now_s
        # At the limit it is still low: the next number is where that ends.
        limits = (min(nextafter(self._low, inf), self._full), self._full)
        above = [limit for limit in limits if limit > left] if self._fills else []
        if not above:
            self._timers.cancel(self._timer)
            return
        self._next = min(above)
        self._timers.start(self._timer, now_s + (self._next - left) / self._rate_per_s)
