"""The aircraft of the demonstration flight at one instant, interpolated from its script."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from msgspec import Struct

from panelbridge.feeds.flight_script import (
    DURATION_S,
    ENGINE_CHANGES,
    KEY_POINTS,
    LEGS,
    LOCKED_WHEEL,
    PEDAL_POINTS,
    SPEED_BRAKE_POINTS,
    SPIN_DOWN_S,
    SPIN_UP_S,
    STEERING_POINTS,
    STRUT_CHANGES,
    WHEEL_RPM_PER_KT,
    Side,
)

_TIMES = [point.time_s for point in KEY_POINTS]
_PRESSURE_PSI = 2850.0


class FlightValues(Struct, frozen=True):
    """The aircraft at one instant; units as in ``AircraftState``."""

    phase: str
    airspeed_kias: float
    altitude_ft: float
    ground_speed_kt: float
    throttles: tuple[float, ...]
    flap_deg: float
    speed_brake: float
    compressed: tuple[bool, ...]
    hydraulic_pressure_psi: float
    engines_running: tuple[bool, ...]
    brake_pedals: float
    steering_pedals: float


def values_at(time_s: float) -> FlightValues:
    """The aircraft ``time_s`` seconds into the flight; the time is limited to the flight."""
    time_s = min(max(time_s, 0.0), DURATION_S)
    after = min(max(bisect_right(_TIMES, time_s), 1), len(KEY_POINTS) - 1)
    a, b = KEY_POINTS[after - 1], KEY_POINTS[after]
    part = min((time_s - a.time_s) / (b.time_s - a.time_s), 1.0)

    def between(low: float, high: float) -> float:
        return low + (high - low) * part

    speed = between(a.airspeed_kias, b.airspeed_kias)
    return FlightValues(
        phase=a.phase,
        airspeed_kias=speed,
        altitude_ft=between(a.altitude_ft, b.altitude_ft),
        ground_speed_kt=speed,
        throttles=tuple(map(between, a.throttles, b.throttles)),
        flap_deg=between(a.flap_deg, b.flap_deg),
        speed_brake=_interpolated(SPEED_BRAKE_POINTS, time_s),
        compressed=tuple(_state_at(STRUT_CHANGES[leg], time_s) for leg in LEGS),
        # For aircraft that take their pressure from the feed: it builds up in 5 s.
        hydraulic_pressure_psi=_PRESSURE_PSI * min(max(time_s - 3.5, 0.0) / 5.0, 1.0),
        engines_running=tuple(_state_at(changes, time_s) for changes in ENGINE_CHANGES),
        brake_pedals=_interpolated(PEDAL_POINTS, time_s),
        steering_pedals=_interpolated(STEERING_POINTS, time_s),
    )


def wheel_rpm_at(side: Side, number: int, time_s: float, ground_speed_kt: float) -> float:
    """Speed of a braked wheel, rpm.

    Args:
        side: its side.
        number: its index on that side, from 0.
        time_s: seconds into the flight.
        ground_speed_kt: the aircraft's speed then.
    """
    _, (off_s, _), (on_s, _) = STRUT_CHANGES[side]
    rolling = WHEEL_RPM_PER_KT * ground_speed_kt
    if time_s <= off_s:
        return rolling
    if time_s <= on_s:
        left = max(1.0 - (time_s - off_s) / SPIN_DOWN_S, 0.0)
        return left * WHEEL_RPM_PER_KT * values_at(off_s).ground_speed_kt if left else 0.0
    locked_side, from_s, to_s = LOCKED_WHEEL
    if side == locked_side and number == 1 and from_s <= time_s < to_s:
        return 0.0
    return rolling * min((time_s - on_s) / SPIN_UP_S, 1.0)


def _state_at(changes: Sequence[tuple[float, bool]], time_s: float) -> bool:
    state = changes[0][1]
    for change_s, becomes in changes:
        if change_s <= time_s:
            state = becomes
    return state


def _interpolated(points: Sequence[tuple[float, float]], time_s: float) -> float:
    """A value interpolated between its points, constant before and after them."""
    before = points[0]
    for point in points:
        if time_s < point[0]:
            part = (time_s - before[0]) / (point[0] - before[0])
            return before[1] + (point[1] - before[1]) * part
        before = point
    return before[1]
