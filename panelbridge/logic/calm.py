"""Most steps of a flight change numbers that cross no limit: one look says that nothing is to do.

Every system tells between which numbers nothing can change for it as it stands now (its *calm*
band). While every number of the aircraft stays in the common band, and nothing but numbers has
changed, no system is asked at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import inf

from panelbridge.logic.bands import NEVER_CALM
from panelbridge.signals import AircraftState

Band = tuple[float, float]
"""Above the first number and up to the second one nothing changes."""
ALWAYS_CALM: Band = (-inf, inf)

States = Callable[[AircraftState], object]
"""Reads what has no band: any change of it is looked at."""


Calm = Callable[[AircraftState], bool]
"""Whether no system has to take these values of the aircraft."""


def calm_of(
    aircraft: AircraftState,
    states: States,
    *,
    kias: Band,
    altitude_ft: Band,
    ground_speed_kt: Band,
    flap_deg: Band,
    pressure_psi: Band,
    levers: Sequence[Band],
) -> Calm:
    """The common bands of all systems, as they stand now, as one question.

    A number that is unknown is calm as long as it stays so. What is not a number is in no band.

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
    kias_unknown, kias_low, kias_high = _parts(aircraft.airspeed_kias, kias)
    feet_unknown, feet_low, feet_high = _parts(aircraft.altitude_ft, altitude_ft)
    deg_unknown, deg_low, deg_high = _parts(aircraft.flap_deg, flap_deg)
    psi_unknown, psi_low, psi_high = _parts(aircraft.hydraulic_pressure_psi, pressure_psi)
    kt_unknown, kt_low, kt_high = _parts(aircraft.ground_speed_kt, ground_speed_kt)
    taken_levers, taken_states = aircraft.throttle_fraction, states(aircraft)
    lever_bands = tuple(levers)

    def holds(now: AircraftState) -> bool:
        # Written out, in the order of how often they change: this is asked in every step.
        number = now.airspeed_kias
        if not (kias_unknown if number is None else kias_low < number <= kias_high):
            return False
        number = now.altitude_ft
        if not (feet_unknown if number is None else feet_low < number <= feet_high):
            return False
        levers = now.throttle_fraction
        if levers is not taken_levers and not _levers_hold(levers, lever_bands):
            return False
        number = now.flap_deg
        if not (deg_unknown if number is None else deg_low < number <= deg_high):
            return False
        number = now.hydraulic_pressure_psi
        if not (psi_unknown if number is None else psi_low < number <= psi_high):
            return False
        number = now.ground_speed_kt
        calm = kt_unknown if number is None else kt_low < number <= kt_high
        return calm and states(now) == taken_states

    return holds


def _parts(value: float | None, band: Band) -> tuple[bool, float, float]:
    """Whether unknown is calm, and the band."""
    return (True, *NEVER_CALM) if value is None else (False, *band)


def _levers_hold(levers: Sequence[float | None], bands: Sequence[Band]) -> bool:
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
