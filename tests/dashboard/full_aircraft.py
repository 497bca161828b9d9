"""A made-up aircraft with every system, on a panel with forty lamps and every switch."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from panelbridge.dashboard.interfaces import (
    Equipment,
    LampColour,
    LampLook,
    SwitchControl,
    SwitchForm,
    ValueLook,
)
from panelbridge.engine.snapshot import Snapshot
from panelbridge.logic.hydraulics.consumers import CONSUMERS
from panelbridge.logic.systems import SWITCHES as EVERY_SWITCH
from panelbridge.signals import (
    AircraftState,
    Commands,
    GearPosition,
    HandleContacts,
    Outputs,
    SwitchState,
    Value,
)
from tests.dashboard import scenes

WHEELS = ("left_outer", "left_inner", "right_inner", "right_outer")
_OWN = ("ice", "door", "oil", "fuel", "generator", "pitot", "cabin", "bleed")
_COLOURS: dict[str, LampColour] = {"_red": "red", "_amber": "amber", "_green": "green"}


def _look(name: str, legend: str = "") -> LampLook:
    colour: LampColour = next(
        (known for end, known in _COLOURS.items() if name.endswith(end)), "white"
    )
    return LampLook(name, legend, colour, "gear_panel")


LAMPS = (
    *scenes.LAMPS[:7],
    *(
        _look(name)
        for name in (
            "gear_power_amber",
            "hydraulic_pressure_low_amber",
            "hydraulic_fluid_low_amber",
            "aux_pump_left_on_amber",
            "air_low_amber",
            "retract_locked_out_amber",
            "steering_green",
            "steering_unavailable_amber",
        )
    ),
    _look("parking_brake_amber", "PARK BRAKE"),
    *(
        _look(name)
        for name in (
            "takeoff_config_red",
            "brake_energy_low_amber",
            "antiskid_off_amber",
            *(f"{wheel}_antiskid_amber" for wheel in WHEELS),
            "speed_amber",
            "leave_gear_down_amber",
            "pump_brakes_amber",
            "antiskid_reminder_amber",
            *(f"own_{name}_amber" for name in _OWN),
            *(f"spare_{at}_green" for at in range(5)),
        )
    ),
)


def _switch(
    name: str,
    label: str,
    form: SwitchForm = "button",
    positions: tuple[str, ...] = ("released", "pressed"),
    rest: float | None = None,
) -> SwitchControl:
    return SwitchControl(name, label, form, () if form == "lever" else positions, rest)


ON_OFF = ("off", "on")
SWITCHES = (
    *scenes.SWITCHES,
    _switch("lever_horn_silence", "horn silence on the throttle lever"),
    _switch("second_steering_button", "second steering button"),
    _switch("downlock_release", "down-lock release"),
    _switch("gear_reset", "gear reset"),
    _switch("aux_pump", "auxiliary pump", "toggle", ON_OFF),
    _switch("emergency_extend", "emergency extension handle", "toggle", ("stowed", "pulled")),
    _switch("hand_pump", "hand pump"),
    _switch("antiskid", "anti-skid", "toggle", ON_OFF),
    _switch("cold_weather", "cold-weather routine", "toggle", ON_OFF),
    _switch("night", "night lighting", "toggle", ON_OFF),
    _switch("fluid_test", "low-fluid test"),
    _switch("parking_brake", "parking brake", "lever", rest=0.0),
    _switch("emergency_brake", "emergency brake", "toggle"),
    _switch("left_brake", "left brake pedal", "lever", rest=0.0),
    _switch("right_brake", "right brake pedal", "lever", rest=0.0),
    _switch("tiller", "steering tiller", "lever", rest=0.5),
)
SYSTEMS: tuple[tuple[str, tuple[tuple[str, str, str, Value], ...]], ...] = (
    (
        "Hydraulics",
        (
            ("hydraulic_pressure_psi", "hydraulic pressure", "psi", 2764.3),
            ("hydraulic_pressure_low", "hydraulic pressure low", "", False),
            ("hydraulic_reservoir_l", "hydraulic reservoir", "l", 6.25),
            ("hydraulic_accumulator_l", "accumulator fluid", "l", 0.41),
            ("hydraulic_lost_l", "hydraulic fluid lost", "l", 0.0),
            ("aux_pump_state", "auxiliary pump", "", "resting"),
            ("aux_pump_cycles", "auxiliary pump starts", "", 3.0),
            *(
                (f"{one}_has_pressure", f"pressure: {one.replace('_', ' ')}", "", True)
                for one in CONSUMERS
            ),
        ),
    ),
    (
        "Emergency extension",
        (
            ("emergency_air_psi", "emergency air", "psi", 1830.0),
            ("emergency_extension", "emergency extension", "", "stowed"),
            ("hand_pump_strokes", "hand pump strokes", "", 0.0),
        ),
    ),
    (
        "Gear power and doors",
        (
            ("gear_selection", "gear selection", "", "locked_out"),
            ("nose_door", "nose door", "", "closed"),
            ("left_door", "left door", "", "opening"),
            ("right_door", "right door", "", "stopped"),
            ("gear_power", "gear power", "", "cut_off"),
        ),
    ),
    ("Handle lock", (("handle_lock", "handle lock", "", "held"),)),
    (
        "Brakes",
        (
            ("brake_accumulator_psi", "brake accumulator", "psi", 1530.0),
            ("brake_applications_left", "brake applications left", "", 4.0),
            ("brake_source", "brake pressure from", "", "accumulator"),
            ("parking_brake_state", "parking brake", "", "not_set"),
            ("left_brake_psi", "left brake", "psi", 640.0),
            ("right_brake_psi", "right brake", "psi", 715.0),
            *(
                (f"{w}_wheel_brake_psi", f"brake of {w.replace('_', ' ')} wheel", "psi", 640.0)
                for w in WHEELS
            ),
        ),
    ),
    ("Anti-skid", tuple((f"{w}_antiskid", f"anti-skid {w}", "", "let_go") for w in WHEELS)),
    (
        "Brake heat",
        tuple(
            look
            for w in WHEELS
            for look in (
                (f"{w}_brake_c", f"{w.replace('_', ' ')} brake", "deg C", 183.4),
                (f"{w}_wheel_c", f"{w.replace('_', ' ')} wheel", "deg C", 41.2),
                (f"{w}_fuse_plug", f"{w.replace('_', ' ')} fuse plug", "", "whole"),
            )
        ),
    ),
    (
        "Steering",
        (
            ("steering_deg", "nose wheel", "degrees", -11.5),
            ("steering_limit_deg", "steering limit", "degrees", 45.0),
        ),
    ),
    ("Take-off", (("takeoff_config", "take-off configuration", "", "safe"),)),
    (
        "Speed limits",
        (
            ("gear_speed_limit_kias", "gear speed limit", "knots", 220.0),
            ("gear_speed_highest_kias", "highest exceedance", "knots", None),
        ),
    ),
    (
        "Cold weather",
        (
            ("cold_weather_state", "cold-weather routine", "", "leave_gear_down"),
            ("leave_gear_down_s", "keep gear down", "s", 37.4),
            ("brake_pumps_left", "brake pumps left", "", 2.0),
        ),
    ),
    (
        "Alerts",
        (
            ("warnings_not_reset", "warnings not reset", "", 0.0),
            ("cautions_not_reset", "cautions not reset", "", 2.0),
        ),
    ),
)
VALUES: dict[str, Value] = {name: value for _, rows in SYSTEMS for name, _, _, value in rows}
_NEVER = {"gear_speed_highest_kias": "never"}


def _value_look(name: str, label: str, unit: str, value: Value) -> ValueLook:
    if isinstance(value, bool):
        return ValueLook(name, label, "yes_no")
    if isinstance(value, str):
        return ValueLook(name, label, "word")
    return ValueLook(name, label, "number", unit, _NEVER.get(name, ""))


EQUIPMENT = Equipment(
    systems={title: [_value_look(*given) for given in rows] for title, rows in SYSTEMS},
    gauges=(
        ValueLook("hydraulic_pressure", "hydraulic pressure", unit="psi"),
        ValueLook("emergency_air", "emergency air", unit="psi"),
        ValueLook("brake_accumulator", "brake accumulator", unit="psi"),
        ValueLook("left_brake", "left brake", unit="psi"),
        ValueLook("right_brake", "right brake", unit="psi"),
    ),
    solenoids=(ValueLook("handle_lock", "handle lock"),),
    boards=dict.fromkeys(("hydraulic_pressure", "emergency_air", "handle_lock"), "gear_panel"),
    engines=2,
    wheels=WHEELS,
    consumers=True,
    aux_pump=True,
    emergency_extend=True,
    parking_brake=True,
    antiskid=True,
)
LIT = {"parking_brake_amber": 178, "antiskid_off_amber": 178, "nose_green": 178, "speed_amber": 90}
_PLACES: dict[str, Any] = {
    **dict.fromkeys(EVERY_SWITCH, False),
    **dict.fromkeys(("lamp_test", "aux_pump", "antiskid", "night"), True),
    "gear_handle": HandleContacts.DOWN,
    "dimmer": 0.7,
    "tiller": 0.4,
    "parking_brake": 0.35,
    "emergency_brake": 0.0,
    "left_brake": 0.2,
    "right_brake": 0.25,
}
FULL: Snapshot = replace(
    scenes.TRANSIT,
    aircraft_name="everything fitted",
    panel_name="full panel",
    switches=SwitchState(
        **_PLACES,
    ),
    aircraft=AircraftState(
        airspeed_kias=206.0,
        altitude_ft=3150.0,
        ground_speed_kt=209.0,
        throttle_fraction=(0.41, 0.4),
        flap_deg=10.0,
        strut_compressed=(False, False, False),
        engine_running=(True, None),
        bus_powered=True,
        wheel_speed_rpm=(0.0, 12.0, None, 0.0),
        brake_pedal_fraction=(0.2, None),
        steering_pedal_fraction=-0.3,
    ),
    outputs=Outputs(
        lamps={look.name: LIT.get(look.name, 0) for look in LAMPS},
        gauges={"hydraulic_pressure": 2760.0, "brake_accumulator": 1530.0},
        solenoids={"handle_lock": True},
    ),
    commands=Commands(
        GearPosition.DOWN,
        steering_engaged=True,
        steering_deg=-11.5,
        aux_pump=True,
        consumers=("gear", "flaps", "wheel_brakes", "parking_brake"),
        brake_fraction=(0.2, 0.2, 0.25, 0.0),
        antiskid=True,
    ),
    logic=replace(
        scenes.TRANSIT.logic,
        values=VALUES,
        steering_engaged=True,
        faults=(
            "the gear's power was cut off by its travel limit",
            "anti-skid failed on the left outer wheel",
            "the auxiliary pump gives no pressure",
        ),
    ),
)
