"""Most steps of a flight change numbers that cross no limit: one look says that nothing is to do.

Every system tells between which numbers nothing can change for it as it stands now (its *calm*
band). While every number of the aircraft stays in the common band, and nothing but numbers has
changed, no system is asked at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import inf
from typing import Any

from panelbridge.logic.bands import NEVER_CALM
from panelbridge.signals import AircraftState

Band = tuple[float, float]
"""Above the first number and up to the second one nothing changes."""
ALWAYS_CALM: Band = (-inf, inf)

States = Callable[[AircraftState], object]
"""Reads what has no band: any change of it is looked at."""


class Calm:
    """The common bands of all systems, as they stood when these were last asked.

    Args:
        aircraft: the values that every system has taken.
        states: reads what has no band.
        kias: band of the airspeed, knots.
        altitude_ft: of the altitude, feet.
        ground_speed_kt: of the speed over the ground, knots.
        flap_deg: of the flaps, degrees.
        pressure_psi: of the told hydraulic pressure, psi.
        levers: of each throttle lever, 0 to 1.
    """

    def __init__(
        self,
        aircraft: AircraftState,
        states: States,
        *,
        kias: Band,
        altitude_ft: Band,
        ground_speed_kt: Band,
        flap_deg: Band,
        pressure_psi: Band,
        levers: Sequence[Band],
    ) -> None:
        # A number that is unknown is calm as long as it stays so.
        values = (
            (aircraft.airspeed_kias, kias),
            (aircraft.altitude_ft, altitude_ft),
            (aircraft.flap_deg, flap_deg),
            (aircraft.hydraulic_pressure_psi, pressure_psi),
            (aircraft.ground_speed_kt, ground_speed_kt),
        )
        self._bands: tuple[Any, ...] = tuple(
            [
                part
                for value, band in values
                for part in (value is None, *(NEVER_CALM if value is None else band))
            ]
        )
        self._levers = aircraft.throttle_fraction
        self._lever_bands = tuple(levers)
        self._read_states, self._states = states, states(aircraft)

    def holds(self, aircraft: AircraftState) -> bool:
        """Whether no system has to take ``aircraft``. What is not a number is in no band."""
        # Written out, in the order of how often they change: this is asked in every step.
        (
            kias_unknown,
            kias_low,
            kias_high,
            feet_unknown,
            feet_low,
            feet_high,
            deg_unknown,
            deg_low,
            deg_high,
            psi_unknown,
            psi_low,
            psi_high,
            kt_unknown,
            kt_low,
            kt_high,
        ) = self._bands
        kias, feet = aircraft.airspeed_kias, aircraft.altitude_ft
        deg, psi, kt = aircraft.flap_deg, aircraft.hydraulic_pressure_psi, aircraft.ground_speed_kt
        levers = aircraft.throttle_fraction
        calm: bool = (
            (kias_unknown if kias is None else kias_low < kias <= kias_high)
            and (feet_unknown if feet is None else feet_low < feet <= feet_high)
            and (levers is self._levers or self._levers_hold(levers))
            and (deg_unknown if deg is None else deg_low < deg <= deg_high)
            and (psi_unknown if psi is None else psi_low < psi <= psi_high)
            and (kt_unknown if kt is None else kt_low < kt <= kt_high)
            and self._read_states(aircraft) == self._states
        )
        return calm

    def _levers_hold(self, levers: Sequence[float | None]) -> bool:
        bands = self._lever_bands
        if len(levers) != len(bands):
            return False
        for place, (low, high) in enumerate(bands):
            lever = levers[place]
            if lever is None or not low < lever <= high:
                return False
        return True


def common(bands: Iterable[Band]) -> Band:
    """The numbers that are in every band; none at all when there are none."""
    low, high = -inf, inf
    for band_low, band_high in bands:
        low, high = max(low, band_low), min(high, band_high)
    return (low, high) if low < high else NEVER_CALM
