"""The take-off warning by itself, in the words of the decision table M-T."""

from __future__ import annotations

from typing import Any

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.kit.aircraft_cells import (
    AIRSPEED_KIAS,
    FLAP_DEG,
    SPEED_BRAKE,
    TRIM_UNITS,
    throttle,
)
from panelbridge.logic.takeoff_warning.items import items_of
from panelbridge.logic.takeoff_warning.parameters import TakeoffWarningParameters
from panelbridge.logic.takeoff_warning.system import TakeoffWarning
from tests.logic.stage import Input, Stage

NUMBERS: dict[str, Any] = {
    "thrust_fraction": 0.7,
    "thrust_hysteresis_fraction": 0.05,
    "flap_least_deg": 5.0,
    "flap_most_deg": 20.0,
    "speed_brake_most_fraction": 0.1,
    "trim_least": -2.0,
    "trim_most": 4.0,
    "rotation_leg": "nose",
}
NAMES: dict[str, Input] = {
    "lever": throttle(0),
    "lever_2": throttle(1),
    "flap_deg": FLAP_DEG,
    "speed_brake": SPEED_BRAKE,
    "trim": TRIM_UNITS,
    "airspeed": AIRSPEED_KIAS,
    "ground_for_commands": (AirGroundFacts, "ground_for_commands"),
    "air_for_warnings": (AirGroundFacts, "air_for_warnings"),
    "nose": (AirGroundFacts, "struts", 0),
    "released": (BrakesFacts, "lever_released"),
    "trapped": (BrakesFacts, "trapped"),
}
SAFE: dict[str, Any] = {
    "lever": 0.1,
    "lever_2": 0.1,
    "flap_deg": 10.0,
    "speed_brake": 0.0,
    "trim": 1.0,
    "airspeed": 0.0,
    "nose": True,
    "released": True,
}
UNSAFE: dict[str, dict[str, Any]] = {
    "parking_brake": {"released": False},
    "flaps": {"flap_deg": 25.0},
    "speed_brake": {"speed_brake": 0.5},
    "trim": {"trim": 6.0},
}
LAMP, UNKNOWN = "takeoff_config_red", "takeoff_unknown_amber"


def ground(on_ground: bool | None) -> dict[str, Any]:
    """The squat switches."""
    return {
        "ground_for_commands": on_ground is not False,
        "air_for_warnings": on_ground is not True,
    }


def stage(*, first: bool = True, has_parking_brake: bool = True, **numbers: Any) -> Stage[Any]:
    """On the ground at idle, everything safe, the guarded button not pressed."""
    parameters = TakeoffWarningParameters.model_validate({**NUMBERS, **numbers})
    items = items_of(parameters, has_parking_brake=has_parking_brake)
    system = TakeoffWarning(parameters, items, 2, 0)
    silence: dict[str, Any] = {"takeoff_silence": False} if system.switches else {}
    made = Stage(system, NAMES, **SAFE, **ground(True), **silence)
    if first:
        made.at(0.0)
    return made


def horn(made: Stage[Any]) -> str:
    """How the horn sounds for it."""
    made.hold()
    return str(made.system.sounds().value)
