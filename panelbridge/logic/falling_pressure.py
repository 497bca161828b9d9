"""A pressure that is used up in portions, and perhaps falls along a straight line of time."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from panelbridge.clock import TimerHeap


class FallingPressure:
    """The pressure of a bottle, or of a brake that is shut off.

    Args:
        full_psi: pressure when it is full, psi; so it is at first.
        limits_psi: pressures at which somebody has to look again, psi.
        fall_psi_per_min: how fast it falls while it falls, psi a minute, > 0.
        timers: for the limits.
        timer: name of its timer.
    """

    def __init__(
        self,
        full_psi: float,
        limits_psi: Sequence[float],
        fall_psi_per_min: float,
        timers: TimerHeap,
        timer: Hashable,
    ) -> None:
        self._full_psi = full_psi
        self._limits_psi = tuple(limits_psi)
        self._fall_psi_per_s = fall_psi_per_min / 60.0
        self._timers = timers
        self._timer = timer
        self._falls = False
        self._next_psi = 0.0
        self._from_psi, self._from_s = full_psi, 0.0

    def pressure_psi(self, now_s: float) -> float:
        """The pressure, psi."""
        if not self._falls:
            return self._from_psi
        return max(self._from_psi - (now_s - self._from_s) * self._fall_psi_per_s, 0.0)

    def set(self, now_s: float, psi: float) -> None:
        """Bring it to a pressure; whether it falls stays."""
        self._from_psi, self._from_s = psi, now_s
        below = [limit for limit in self._limits_psi if limit < psi] if self._falls else []
        if not below:
            self._timers.cancel(self._timer)
            return
        self._next_psi = max(below)
        self._timers.start(self._timer, now_s + (psi - self._next_psi) / self._fall_psi_per_s)

    def use(self, now_s: float, psi: float) -> None:
        """Take so much out of it; what is not there is not taken."""
        self.set(now_s, max(self.pressure_psi(now_s) - psi, 0.0))

    def fill(self, now_s: float) -> None:
        """Fill it; whether it falls stays."""
        self.set(now_s, self._full_psi)

    def fall(self, now_s: float, *, falls: bool) -> None:
        """Have it fall from now on, or no longer; nothing when that is so."""
        if falls is not self._falls:
            psi = self.pressure_psi(now_s)
            self._falls = falls
            self.set(now_s, psi)

    def timer_due(self, now_s: float) -> None:
        """Its timer came due: it has reached a limit, exactly."""
        self.set(now_s, self._next_psi)
