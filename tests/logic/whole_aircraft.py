"""Four whole aircraft that differ in kind, built here and not from files, for laws over everything.

All are invented. The jet has every system with everything on; the others have what it lacks.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelbridge.logic.aircraft import AircraftParameters

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
    "air_ground": {"settle_s": 0.23, "disagree_limit_s": 11.0, "retract_override": True},
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
    "brakes": {
        "wheels": _WHEELS,
        "parking_bleed_psi_per_min": 900.0,
        "accumulator": {"gas_volume_l": 0.8, "fill_l_per_s": 0.05},
    },
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
    "takeoff_warning": {
        "flap_least_deg": 5.0,
        "flap_most_deg": 20.0,
        "speed_brake_most_fraction": 0.05,
        "trim_least": -2.0,
        "trim_most": 4.0,
        "rotation_leg": "nose",
        "hold_back_from_kias": 80.0,
    },
    "alerts": {},
    "brake_heat": {"mass_kg": 9000.0, "too_hot_c": 60.0, "fuse_plug_c": 70.0},
    "wheel_lock": {"leg": "nose"},
    "night_light": {"dimmer_at_most_fraction": 0.4},
    "own_switches": {
        "fuel_pump": {"label": "fuel pump", "free_word": "stopped", "operated_word": "runs"},
        "vanes": {"label": "vanes", "free_word": "in", "operated_word": "out"},
    },
    "own_horn": {
        "vanes_fast": {
            "label": "vanes out and fast",
            "sounds_when": {"vanes": "out", "airspeed_kias": {"above": 150}},
        }
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
PISTON: Mapping[str, Any] = {
    "name": "Whole piston single",
    "engines": 1,
    "legs": [
        {"name": "nose", "unlock_s": 0.3, "extend_s": 5.1, "retract_s": 5.7, "free_fall_s": 8.2},
        {"name": "left", "unlock_s": 0.3, "extend_s": 5.3, "retract_s": 5.9, "free_fall_s": 7.1},
        {"name": "right", "unlock_s": 0.3, "extend_s": 5.4, "retract_s": 6.0, "free_fall_s": 7.2},
    ],
    "gear_power": {
        "power": "electric_pack",
        "breaker": True,
        "nominal_v": 24.0,
        "stall_v": 15.0,
        "travel_limit_s": 14.0,
        "uplocks": "pressure",
        "uplock_hold_s": 25.0,
    },
    "emergency": {"means": "free_fall"},
    "brakes": {"needs_hydraulics": False, "emergency_brake": False},
    "speed_limits": {"vlo_kias": 130.0, "vle_kias": 150.0},
    "gear_warning": {
        "throttle_approach_fraction": 0.3,
        "silence_controls": ["horn_silence"],
        "rearm": "lever_advanced",
        "ground_handle_pattern": "continuous",
    },
    "lamps": {"warning_test_lights": "red_lamps", "lamp_test_sounds_horn": False},
}
TURBOPROP: Mapping[str, Any] = {
    "name": "Whole turboprop",
    "engines": 2,
    "legs": [
        {"name": "nose", "unlock_s": 0.5, "extend_s": 5.5, "retract_s": 6.2},
        {"name": "left", "unlock_s": 0.6, "extend_s": 5.8, "retract_s": 6.6},
        {"name": "right", "unlock_s": 0.6, "extend_s": 5.9, "retract_s": 6.7},
    ],
    "gear_power": {"power": "electric_pack", "travel_limit_s": 14.0, "reversal_delay_s": 1.0},
    "handle_lock": {"leg": "right"},
    "emergency": {"means": "hand_pump", "stroke_s": 1.4, "pump_without_handle": True},
    "brakes": {"needs_hydraulics": False, "emergency_brake": False},
    "gear_warning": {
        "rearm": "all_levers_advanced",
        "rearm_fraction": 0.45,
        "quiet_from_kias": 140.0,
        "inhibit_above_ft": 12500.0,
        "enable_below_ft": 10500.0,
        "flap_pattern": "intermittent",
    },
    "lamps": {"flashing": ["handle_red"], "flash_hz": 3.0},
    "own_switches": {
        "call": {"label": "call", "kind": "button"},
        "mixture": {"label": "mixture", "kind": "lever"},
    },
    "own_lamps": {
        "props_white": {"label": "levers back", "lit_when": {"throttle_1": {"at_most": 0.3}}}
    },
    "steering": {"steering_leg": "nose", "needs_bus": True},
}
TAIL_WHEEL: Mapping[str, Any] = {
    "name": "Whole tail-wheel type",
    "engines": 1,
    "legs": [
        {"name": "left", "unlock_s": 0.4, "extend_s": 6.2, "retract_s": 7.1},
        {"name": "right", "unlock_s": 0.4, "extend_s": 6.4, "retract_s": 7.3},
    ],
    "gear_warning": {"silence_allowed": False, "ground_handle_warning": False},
    "steering": {"steering_leg": None},
}
PLAIN: Mapping[str, Mapping[str, Any]] = {
    "jet": JET,
    "piston": PISTON,
    "turboprop": TURBOPROP,
    "tail_wheel": TAIL_WHEEL,
}
"""The four as they would stand in their files."""
KINDS: Mapping[str, AircraftParameters] = {
    kind: AircraftParameters.model_validate(plain) for kind, plain in PLAIN.items()
}
"""The four."""


def fed(kind: str) -> AircraftParameters:
    """One of the four with the feed as the authority for all that it can be it for."""
    authority = dict.fromkeys(("legs", "hydraulics", "brakes", "antiskid"), "feed")
    return AircraftParameters.model_validate({**PLAIN[kind], "authority": authority})
