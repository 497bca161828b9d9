"""The pressure of a bottle that is used up in portions, and perhaps leaks along a straight line."""

from __future__ import annotations

from collections.abc import Hashable

from panelbridge.clock import TimerHeap


class AirBottle:
    """A bottle.

    Args:
        full_psi: pressure when it is full, psi.
        limits_psi: pressures at which somebody has to look again, psi.
        leak_psi_per_min: how fast it leaks while it leaks, psi a minute, > 0.
        timers: for the limits.
        prefix: first word of its timers.
    """

    def __init__(
        self,
        full_psi: float,
        limits_psi: tuple[float, ...],
        leak_psi_per_min: float,
        timers: TimerHeap,
        prefix: str,
    ) -> None:
        self._full_psi = full_psi
        self._limits_psi = limits_psi
        self._leak_psi_per_s = leak_psi_per_min / 60.0
        self._timers = timers
        self._timer = (prefix, "leak")
        self._leaks = False
        self._next_psi = 0.0
        self._from_psi, self._from_s = full_psi, 0.0

    def pressure_psi(self, now_s: float) -> float:
        """Its pressure, psi."""
        if not self._leaks:
            return self._from_psi
        return max(self._from_psi - (now_s - self._from_s) * self._leak_psi_per_s, 0.0)

    def use(self, now_s: float, psi: float) -> None:
        """Take so much out of it; what is not there is not taken."""
        self._set(now_s, max(self.pressure_psi(now_s) - psi, 0.0))

    def fill(self, now_s: float) -> None:
        """Fill it; a leak stays."""
        self._set(now_s, self._full_psi)

    def empty(self, now_s: float) -> None:
        """Let everything out."""
        self._set(now_s, 0.0)

    def leak(self, now_s: float, *, leaks: bool) -> None:
        """Have it leak from now on, or no longer."""
        psi = self.pressure_psi(now_s)
        self._leaks = leaks
        self._set(now_s, psi)

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """Its timer: the leak has reached a limit, exactly."""
        if name == self._timer:
            self._set(now_s, self._next_psi)

    def _set(self, now_s: float, psi: float) -> None:
        self._from_psi, self._from_s = psi, now_s
        below = [limit for limit in self._limits_psi if limit < psi]
        if not (self._leaks and below):
            self._timers.cancel(self._timer)
            return
        self._next_psi = max(below)
        self._timers.start(self._timer, now_s + (psi - self._next_psi) / self._leak_psi_per_s)
