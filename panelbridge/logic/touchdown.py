"""Touchdown protection of one side: no pedal brakes before its wheels turn.

Source: FAA Aviation Maintenance Technician Handbook, Airframe, ch. 13 (brakes blocked until the
wheels spin up after touchdown; braking before landing is inhibited). It is a part of anti-skid:
with anti-skid off there is none. A side of which nobody knows whether it is on the ground can be
braked; that is our own decision.
"""

from __future__ import annotations

from collections.abc import Sequence

from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart


class TouchdownChart(Chart):
    """Touchdown protection of one side."""

    touch_free = State(initial=True)
    touch_in_air = State()
    touch_landed = State()

    lifted = touch_free.to(touch_in_air) | touch_landed.to(touch_in_air)
    landed = touch_in_air.to(touch_landed)
    freed = touch_landed.to(touch_free) | touch_in_air.to(touch_free)


class TouchdownProtection:
    """One side.

    Args:
        wheels: how many wheels it has.
        timeout_s: after a touchdown the brakes are free at the latest after so long, s.
        timers: for that.
        timer: name of its timer.
    """

    def __init__(
        self, wheels: int, timeout_s: float, timers: TimerHeap, timer: tuple[str, str, str]
    ) -> None:
        self._timeout_s = timeout_s
        self._timers = timers
        self._timer = timer
        self._chart = TouchdownChart()
        self._wheels = wheels
        self.blocked: tuple[bool, ...] = (False,) * wheels
        """Whether each of its wheels must not be braked."""

    def update(self, now_s: float, *, on_ground: bool | None, spun_up: Sequence[bool]) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            on_ground: its strut carries weight; None when unknown.
            spun_up: whether each of its wheels turns fast.
        """
        state = self._chart.state_id
        if on_ground is None:
            if state != "touch_free":
                self._free()
        elif not on_ground:
            if state != "touch_in_air":
                self._timers.cancel(self._timer)
                self._chart.send_trigger("lifted")
                self.blocked = (True,) * self._wheels
        elif state == "touch_in_air":
            self._chart.send_trigger("landed")
            self._timers.start(self._timer, now_s + self._timeout_s)
        if self._chart.state_id == "touch_landed":
            # A wheel that has turned once stays free: it may stand still at the end of the roll.
            self.blocked = tuple(
                [was and not spun for was, spun in zip(self.blocked, spun_up, strict=True)]
            )
            if not any(self.blocked):
                self._free()

    def timer_due(self) -> None:
        """Its time is over."""
        self._free()

    def _free(self) -> None:
        self._timers.cancel(self._timer)
        self._chart.send_trigger("freed")
        self.blocked = (False,) * self._wheels
