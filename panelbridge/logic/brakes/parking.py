"""Parking brake: a lever that shuts pressure into the brakes.

It cannot be set without pressure; set, it holds without attention (14 CFR 25.735(d)). Without
pressure it bleeds down slowly, along a straight line of time, faster while anti-skid is on (US Navy
1278BK1). One that needs the pedals shuts in what they press, and nothing when they are free (TM
55-1520-240-23-6). A lever that is already set at start-up has held before. A lever that has become
unknown, or stands between its ends, leaves the brake as it was: it is a valve. That is our own
decision.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.brakes.facts import BRAKE_STEPS
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.parking_source import ParkingSource
from panelbridge.logic.brakes.pressures import fraction_of
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.drift import Drift

RELEASED, SHUT, TRAPPED = "park_released", "park_shut", "park_trapped"


class ParkingChart(Chart):
    """Parking brake."""

    park_released = State(initial=True)
    park_shut = State()
    park_trapped = State()

    apply = park_released.to(park_shut) | park_trapped.to(park_shut)
    release = park_shut.to(park_released) | park_trapped.to(park_released)
    trap = park_shut.to(park_trapped)


class Parking(Struct, frozen=True):
    """The parking brake.

    Attributes:
        state: state of its chart.
        pressure: pressure that is shut in, psi.
        lever: released, partly, set or unknown.
        is_found: the lever was known once.
        is_refused: it was not set, for want of pressure.
    """

    state: str = RELEASED
    pressure: Drift = Drift(Line(low=0.0))
    lever: str = "unknown"
    is_found: bool = False
    is_refused: bool = False


Note = Callable[[float, str], None]


class ParkingBrake:
    """The rules of the parking brake; holds no state.

    Args:
        parameters: the numbers of the brakes.
    """

    def __init__(self, parameters: BrakesParameters) -> None:
        self._parameters = parameters
        full_psi = parameters.full_psi
        steps = [full_psi * step / BRAKE_STEPS for step in range(BRAKE_STEPS)]
        self._limits_psi = (*steps, parameters.parking_hold_psi, parameters.parking_residual_psi)

    def holds(self, psi: float) -> bool:
        """A pressure holds the wheels."""
        return psi > self._parameters.parking_hold_psi

    def fraction(self, psi: float) -> float:
        """How strongly a pressure brakes, 0 to 1, in steps."""
        return fraction_of(psi, self._parameters.full_psi)

    def is_trapped(self, parking: Parking, psi: float) -> bool:
        """The lever has released the pressure, and it is still there."""
        return parking.state == TRAPPED and psi > self._parameters.parking_residual_psi

    def is_parked(self, parking: Parking, psi: float) -> bool:
        """The lever is known not to be released, or pressure is shut in."""
        return parking.lever in ("partly", "set") or psi > self._parameters.parking_residual_psi

    def word(self, parking: Parking, psi: float) -> str | None:
        """Released, partly, set, not_set, bled_down or trapped; None when unknown."""
        if self.is_trapped(parking, psi):
            return "trapped"
        if parking.lever == "set" and not self.holds(psi):
            return "bled_down" if parking.state == SHUT else "not_set"
        return None if parking.lever == "unknown" else parking.lever

    def steps(self, parking: Parking, source: ParkingSource) -> int:
        """Fluid that it takes, in steps: it opens its valve, is set, or is trapped."""
        opens = parking.lever == "set" and self.holds(source.psi)
        return BRAKE_STEPS if parking.state != RELEASED or opens else 0

    def update(
        self,
        now_s: float,
        parking: Parking,
        lever_fraction: float | None,
        source: ParkingSource,
        note: Note,
        *,
        sticks: bool,
    ) -> Parking:
        """The parking brake now.

        Args:
            now_s: seconds.
            parking: as it was.
            lever_fraction: 0 (released) to 1 (set); None when unknown.
            source: what it can be set with.
            note: takes the time and the names of events.
            sticks: its valve sticks when it is released.
        """
        pressure = parking.pressure
        psi = pressure.at(now_s)
        bled_down = self.holds(pressure.line.start) and not self.holds(psi)
        if now_s >= pressure.due_s and parking.state == SHUT and bled_down:
            note(now_s, "parking_brake_bled_down")
        if parking.state == TRAPPED and not sticks:
            parking, psi = self._sent(parking, "release"), 0.0
        lever = self._lever(lever_fraction)
        if lever == "set" and not parking.is_found:
            parking, psi = self._sent(parking, "apply"), self._parameters.full_psi
        is_found = parking.is_found or lever != "unknown"
        if lever != parking.lever or is_found is not parking.is_found:
            parking = replace(parking, lever=lever, is_found=is_found)
        if lever == "released":
            parking, psi = self._release(now_s, parking, psi, note, sticks=sticks)
        elif lever == "set" and parking.state != SHUT:
            parking, psi = self._set(now_s, parking, psi, source, note)
        # What the lever has released is shut off from every pressure.
        feed_psi = source.feed_psi if parking.state == SHUT else 0.0
        if feed_psi >= psi:
            if self.holds(feed_psi) and not self.holds(psi):
                note(now_s, "parking_brake_holds_again")
            psi = feed_psi
        rate = -source.bleed_psi_per_min / 60.0 if psi > feed_psi else 0.0
        pressure = pressure.moved(now_s, psi, rate, (*self._limits_psi, feed_psi))
        return parking if pressure is parking.pressure else replace(parking, pressure=pressure)

    def _set(
        self, now_s: float, parking: Parking, psi: float, source: ParkingSource, note: Note
    ) -> tuple[Parking, float]:
        """Set it when there is pressure for it, once its fluid is there."""
        if not self.holds(source.psi):
            if not parking.is_refused:
                note(now_s, "parking_brake_not_set")
                parking = replace(parking, is_refused=True)
        elif source.is_filled:
            note(now_s, "parking_brake_set")
            parking = replace(self._sent(parking, "apply"), is_refused=False)
            psi = max(psi, source.psi)
        return parking, psi

    def _lever(self, fraction: float | None) -> str:
        parameters = self._parameters
        if fraction is None:
            return "unknown"
        if fraction <= parameters.parking_released_fraction:
            return "released"
        return "set" if fraction >= parameters.parking_set_fraction else "partly"

    def _release(
        self, now_s: float, parking: Parking, psi: float, note: Note, *, sticks: bool
    ) -> tuple[Parking, float]:
        if parking.state != SHUT:
            return (replace(parking, is_refused=False) if parking.is_refused else parking), psi
        if sticks:
            note(now_s, "parking_brake_trapped")
            return self._sent(parking, "trap"), psi
        note(now_s, "parking_brake_released")
        return self._sent(parking, "release"), 0.0

    def _sent(self, parking: Parking, trigger: str) -> Parking:
        return replace(parking, state=ParkingChart.after(parking.state, trigger))
