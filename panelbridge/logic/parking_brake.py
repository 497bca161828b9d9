"""Parking brake: a lever that shuts pressure into the brakes.

It cannot be set without pressure; set, it holds without attention (14 CFR 25.735(d)), and without
pressure it bleeds down slowly, along a straight line of time. A lever that is found set has held
before anybody looked. A lever that has become unknown, or stands between its ends, leaves the brake
as it was: it is a valve. That is our own decision.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, isnan

from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.falling_pressure import FallingPressure

BRAKE_STEPS = 20
"""Steps from no brake to the full one."""


class ParkingChart(Chart):
    """Parking brake."""

    park_released = State(initial=True)
    park_shut = State()
    park_trapped = State()

    apply = park_released.to(park_shut) | park_trapped.to(park_shut)
    release = park_shut.to(park_released) | park_trapped.to(park_released)
    trap = park_shut.to(park_trapped)


class ParkingBrake:
    """The parking brake.

    Args:
        full_psi: pressure of the full brake, psi.
        hold_psi: at or below this it no longer holds, psi.
        residual_psi: at or below this nothing is left in the brakes, psi.
        bleed_psi_per_min: how fast it falls without pressure, psi a minute.
        set_fraction: at or above this the lever is set, 0 to 1.
        released_fraction: at or below this the lever is released, 0 to 1.
        timers: for the bleeding.
        timer: name of its timer.
        log: takes its events.
    """

    def __init__(
        self,
        *,
        full_psi: float,
        hold_psi: float,
        residual_psi: float,
        bleed_psi_per_min: float,
        set_fraction: float,
        released_fraction: float,
        timers: TimerHeap,
        timer: tuple[str, str],
        log: EventLog,
    ) -> None:
        self._full_psi, self._hold_psi = full_psi, hold_psi
        self._residual_psi = residual_psi
        self._set_fraction, self._released_fraction = set_fraction, released_fraction
        self._log = log
        self._chart = ParkingChart()
        steps = [full_psi * step / BRAKE_STEPS for step in range(BRAKE_STEPS)]
        self._pressure = FallingPressure(
            full_psi, (*steps, hold_psi, residual_psi), bleed_psi_per_min, timers, timer
        )
        self._pressure.set(0.0, 0.0)
        self._found = False
        self._refused = False
        self._sticks = False
        self.lever = "unknown"
        """The lever: released, partly, set or unknown."""
        self.psi = 0.0
        """Pressure that is shut in, as of the last update, psi."""

    @property
    def holds(self) -> bool:
        """It holds the wheels."""
        return self.psi > self._hold_psi

    @property
    def steps(self) -> int:
        """How strongly it brakes, 0 to ``BRAKE_STEPS``."""
        return ceil(self.psi / self._full_psi * BRAKE_STEPS)

    @property
    def is_trapped(self) -> bool:
        """The lever let the pressure go, and it is still there."""
        return self._chart.state_id == "park_trapped" and self.psi > self._residual_psi

    @property
    def is_parked(self) -> bool:
        """The lever is known not to be released, or pressure is shut in."""
        return self.lever in ("partly", "set") or self.psi > self._residual_psi

    @property
    def word(self) -> str | None:
        """Released, partly, set, not_set, bled_down or trapped; None while nobody knows."""
        if self.is_trapped:
            return "trapped"
        if self.lever == "set" and not self.holds:
            return "bled_down" if self._is_shut else "not_set"
        return None if self.lever == "unknown" else self.lever

    def pressure_psi(self, now_s: float) -> float:
        """Pressure that is shut in, psi."""
        return self._pressure.pressure_psi(now_s)

    def update(
        self,
        now_s: float,
        lever_fraction: float | None,
        *,
        supplied: bool,
        take_stored: Callable[[], float],
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            lever_fraction: 0 (released) to 1 (set); None when unknown.
            supplied: there is hydraulic pressure for it.
            take_stored: asked when there is none: takes stored energy, and gives which part of the
                full pressure that makes, 0 to 1; 0 when it is too little to set it.
        """
        self._move_lever(now_s, lever_fraction)
        if self.lever == "set":
            self._set(now_s, supplied=supplied, take_stored=take_stored)
        elif self.lever == "released":
            self._release(now_s)
        if self._is_shut and supplied:
            self._pressure.fill(now_s)
        # What the lever has let go is shut off from every pressure.
        self._pressure.fall(now_s, falls=not (self._is_shut and supplied))
        self._look(now_s)

    def timer_due(self, now_s: float) -> None:
        """It has bled down to a limit."""
        held = self.holds
        self._pressure.timer_due(now_s)
        self._look(now_s)
        if held and not self.holds and self._is_shut:
            self._log.note(now_s, "parking_brake_bled_down")

    def stick(self, now_s: float, *, sticks: bool) -> None:
        """Have the valve stick when it is released, or no longer."""
        self._sticks = sticks
        if not sticks and self._chart.state_id == "park_trapped":
            self._chart.send_trigger("release")
            self._pressure.set(now_s, 0.0)

    @property
    def _is_shut(self) -> bool:
        return self._chart.state_id == "park_shut"

    def _look(self, now_s: float) -> None:
        self.psi = self._pressure.pressure_psi(now_s)

    def _move_lever(self, now_s: float, fraction: float | None) -> None:
        if fraction is None or isnan(fraction):
            self.lever = "unknown"
            return
        if fraction <= self._released_fraction:
            self.lever = "released"
        else:
            self.lever = "set" if fraction >= self._set_fraction else "partly"
        if not self._found:
            self._found = True
            if self.lever == "set":
                self._chart.send_trigger("apply")
                self._pressure.fill(now_s)

    def _set(self, now_s: float, *, supplied: bool, take_stored: Callable[[], float]) -> None:
        if self._is_shut:
            return
        part = 1.0 if supplied else take_stored()
        if part * self._full_psi > self._hold_psi:
            self._chart.send_trigger("apply")
            self._pressure.set(now_s, part * self._full_psi)
            self._refused = False
            self._log.note(now_s, "parking_brake_set")
        elif not self._refused:
            self._refused = True
            self._log.note(now_s, "parking_brake_not_set")

    def _release(self, now_s: float) -> None:
        self._refused = False
        if not self._is_shut:
            return
        if self._sticks:
            self._chart.send_trigger("trap")
            self._log.note(now_s, "parking_brake_trapped")
            return
        self._chart.send_trigger("release")
        self._pressure.set(now_s, 0.0)
        self._log.note(now_s, "parking_brake_released")
