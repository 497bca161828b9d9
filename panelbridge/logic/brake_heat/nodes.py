"""Brake and wheel as two bodies: the brake cools in the air and heats the wheel, which cools too.

With x the brake's and y the wheel's temperature over the air's: x' = -x/a and y' = (x - y)/b, where
a and b are their time constants. Both are known at every time from where they began.
"""

from __future__ import annotations

from panelbridge.logic.brake_heat.facts import WheelHeat
from panelbridge.logic.brake_heat.parameters import BrakeHeatParameters
from panelbridge.logic.kit.cooling import Cooling

KNOT_M_PER_S = 1852.0 / 3600.0


def cold(parameters: BrakeHeatParameters) -> WheelHeat:
    """A wheel at the temperature of the air."""
    air = Cooling(0.0, parameters.ambient_c)
    return WheelHeat(air, air)


def energy_j(mass_kg: float, from_kt: float, to_kt: float) -> float:
    """Kinetic energy lost between two speeds, J; nothing when it was gained."""
    lost = (from_kt**2 - to_kt**2) * KNOT_M_PER_S**2
    return 0.5 * mass_kg * max(lost, 0.0)


def heated(
    now_s: float, before: WheelHeat, rise_k: float, factor: float, parameters: BrakeHeatParameters
) -> WheelHeat:
    """The wheel from now on.

    Args:
        now_s: seconds.
        before: as it was.
        rise_k: by how much the brake has become hotter just now, K.
        factor: how many times as fast it cools from now on.
        parameters: the numbers.
    """
    air_c = parameters.ambient_c
    fast_s = 60.0 * parameters.brake_cooling_min / factor
    slow_s = 60.0 * parameters.wheel_cooling_min / factor
    brake_k = before.brake.at(now_s) - air_c + rise_k
    wheel_k = before.wheel.at(now_s) - air_c
    driven = brake_k * fast_s / (fast_s - slow_s)
    return WheelHeat(
        Cooling(now_s, air_c, brake_k, fast_s, 0.0, slow_s),
        Cooling(now_s, air_c, driven, fast_s, wheel_k - driven, slow_s),
        before.fuse_melted,
    )
