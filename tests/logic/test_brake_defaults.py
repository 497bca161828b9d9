"""The numbers of our own for brakes, anti-skid, emergency extension and steering.

Invented, and not those of any aircraft: an aircraft file that says nothing gets these.
"""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.logic.steering.shaping import PedalShaping
from tests.logic.test_brakes import stage

USUAL: list[tuple[type[Parameters], dict[str, Any]]] = [
    (
        EmergencyParameters,
        {
            "means": "air",
            "bottle_full_psi": 2400.0,
            "extension_use_psi": 900.0,
            "brake_use_psi": 150.0,
            "bottle_low_psi": 1300.0,
            "bottle_least_psi": 400.0,
            "bottle_leak_psi_per_min": 200.0,
            "reset_fills_bottle": True,
            "stroke_s": 1.0,
            "crank_turns": 50,
            "pump_without_handle": False,
        },
    ),
    (
        BrakesParameters,
        {
            "wheels": [{"name": "left", "side": "left"}, {"name": "right", "side": "right"}],
            "full_psi": 1600.0,
            "pedal_free_fraction": 0.05,
            "pedal_full_fraction": 0.95,
            "needs_hydraulics": True,
            "accumulator": None,
            "application_l": 0.05,
            "low_applications": 3.0,
            "parking_brake": True,
            "parking_needs_pedals": False,
            "parking_set_fraction": 0.85,
            "parking_released_fraction": 0.05,
            "parking_hold_psi": 500.0,
            "parking_residual_psi": 40.0,
            "parking_bleed_psi_per_min": 5.0,
            "antiskid_bleed_psi_per_min": 20.0,
            "emergency_brake": True,
        },
    ),
    (
        AntiskidParameters,
        {
            "left_leg": "left",
            "right_leg": "right",
            "spun_up_rpm": 140.0,
            "spun_up_hysteresis_rpm": 40.0,
            "touchdown_protection": True,
            "touchdown_timeout_s": 2.5,
            "locked_ratio": 0.3,
            "rolling_ratio": 0.7,
            "wheel_radius_m": None,
            "too_fast_ratio": 1.5,
            "low_speed_off_kt": 12.0,
            "low_speed_on_kt": 30.0,
            "sensor_fault_s": 3.0,
            "dump_limit_s": 2.0,
            "spin_up_limit_s": 3.0,
            "caution_delay_s": 1.0,
            "accumulator_caution_s": 5.0,
            "off_lamp_on_ground": True,
            "self_test_s": 3.0,
            "failure_colour": "amber",
        },
    ),
    (
        SteeringParameters,
        {
            "steering_leg": "nose",
            "schedule": [
                {"speed_kt": 10.0, "angle_deg": 60.0},
                {"speed_kt": 30.0, "angle_deg": 25.0},
                {"speed_kt": 90.0, "angle_deg": 5.0},
            ],
            "needs_hydraulics": False,
            "needs_bus": False,
            "new_press_on_ground": True,
        },
    ),
    (PedalShaping, {"dead_zone_fraction": 0.03, "curve_exponent": 1.0, "scale": 1.0}),
]


@pytest.mark.parametrize(("kind", "numbers"), USUAL)
def test_what_a_file_that_says_nothing_gets(kind: type[Parameters], numbers: Any) -> None:
    assert kind().model_dump() == numbers


def test_a_pressure_that_the_feed_reports_may_be_any() -> None:
    for fed, high in ((False, 1000.0), (True, float("inf"))):
        infos = [one for system in stage(fed_pressure=fed).loop.systems for one in system.values]
        highs = {info.name: info.high for info in infos}
        assert (highs["left_brake_psi"], highs["left_inner_wheel_brake_psi"]) == (high, high)
