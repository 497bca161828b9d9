"""A jet with every system and everything on, which the lists of names and the story are about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_DOOR = {"open_s": 0.9, "close_s": 1.1}
_ALL_BUT_SPOILERS = ["gear", "flaps", "wheel_brakes", "parking_brake", "thrust_reversers"]
_WHEELS = [
    {"name": "left_outer", "side": "left"},
    {"name": "left_inner", "side": "left"},
    {"name": "right_inner", "side": "right"},
    {"name": "right_outer", "side": "right"},
]
JET: Mapping[str, Any] = {
    "name": "Whole jet",
    "engines": 2,
    "legs": [
        {
            "name": "nose",
            "unlock_s": 0.41,
            "extend_s": 4.3,
            "retract_s": 4.9,
            "free_fall_s": 6.1,
            "door": {**_DOOR, "close_when_down": True},
        },
        {
            "name": "left",
            "unlock_s": 0.52,
            "extend_s": 4.7,
            "retract_s": 5.3,
            "free_fall_s": 7.3,
            "door": {**_DOOR, "close_when_down": False},
        },
        {
            "name": "right",
            "unlock_s": 0.53,
            "extend_s": 4.8,
            "retract_s": 5.4,
            "free_fall_s": 7.4,
            "door": None,
        },
    ],
    "air_ground": {"settle_s": 0.23, "disagree_limit_s": 11.0},
    "gear_power": {
        "power": "hydraulic",
        "flow_l_per_s": 0.12,
        "travel_limit_s": 21.0,
        "reversal_delay_s": 0.9,
        "uplocks": "mechanical",
        "uplock_hold_s": 25.0,
    },
    "gear_order": {"extend": [["left", "right"], ["nose"]], "retract": [["nose"], ["left"]]},
    "handle_lock": {"leg": "right"},
    "hydraulics": {
        "supplies": [
            {"engine": 1, "kind": "bleed_air", "flow_l_per_s": 0.35, "spool_up_s": 2.2},
            {"engine": 2, "kind": "engine_pump", "flow_l_per_s": 0.3},
        ],
        "aux_pump": {
            "flow_l_per_s": 0.09,
            "cut_in_psi": 2200.0,
            "cut_out_psi": 2700.0,
            "on_limit_s": 35.0,
            "serves": _ALL_BUT_SPOILERS,
        },
        "accumulator": {
            "gas_volume_l": 0.8,
            "precharge_psi": 950.0,
            "serves": ["wheel_brakes", "parking_brake"],
        },
        "internal_leak_l_per_s": 0.004,
        "leak_l_per_s": 0.004,
        "reservoir_l": 7.2,
        "fluid_low_l": 2.5,
        "fluid_clear_l": 2.7,
    },
    "emergency": {"means": "air", "bottle_leak_psi_per_min": 700.0},
    "brakes": {"wheels": _WHEELS, "parking_bleed_psi_per_min": 900.0, "recharge_s": 20.0},
    "antiskid": {"self_test_s": 2.6},
    "speed_limits": {
        "vlo_extend_kias": 190.0,
        "vlo_retract_kias": 175.0,
        "vle_kias": 230.0,
    },
    "cold_weather": {"leave_down_s": 20.0, "brake_pumps": 3},
    "gear_warning": {
        "quiet_from_kias": 160.0,
        "inhibit_above_ft": 12000.0,
        "enable_below_ft": 10000.0,
        "shortest_sounding_s": 0.5,
        "throttle_pattern": "intermittent",
        "flap_pattern": "continuous",
    },
    "lamps": {
        "flashing": ["handle_red", "leave_gear_down_amber", "flaps_fast_amber"],
        "flash_hz": 2.3,
    },
    "own_lamps": {
        "flaps_fast_amber": {
            "label": "flaps out and fast",
            "lit_when": {"flap_deg": {"above": 5}, "airspeed_kias": {"above": 200}},
        },
        "pressure_high_white": {
            "label": "hydraulic pressure up",
            "lit_when": {
                "any": [{"hydraulic_pressure_psi": {"above": 1700}}, {"nose_travel": 0.5}],
                "night": "off",
            },
        },
        "taxi_blue": {
            "label": "taxi light allowed",
            "lit_when": {"gear": "locked_down", "not": {"bus_power": "off"}},
        },
    },
    "steering": {
        "steering_leg": "nose",
        "schedule": [
            {"speed_kt": 8.0, "angle_deg": 52.0},
            {"speed_kt": 35.0, "angle_deg": 22.0},
            {"speed_kt": 80.0, "angle_deg": 7.0},
        ],
        "needs_hydraulics": True,
        "needs_bus": True,
    },
}
