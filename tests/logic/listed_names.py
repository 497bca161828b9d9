"""Every name of an aircraft as a list: what it is, what it reads in two worlds, what may break.

The lists in ``tests/logic/names`` are what users write into their files: a name, a word, a unit or
a limit that changes there changes files of theirs. After a wanted change, and with care:
``python -m tests.logic.listed_names``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec.structs import replace

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue, values_of
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.inventory import (
    faults_of,
    gauges_of,
    lamps_of,
    solenoids_of,
    switches_of,
    systems_of,
    vocabulary_of,
)
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.logic.lamps.system import Lamps
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegLocks,
    LegState,
    Outputs,
    SwitchState,
)
from tests.logic.build import twin
from tests.logic.whole_aircraft import JET

FOLDER = Path(__file__).parent / "names"
AIRCRAFT: Mapping[str, AircraftParameters] = {
    "plain": twin(),
    "jet": AircraftParameters.model_validate(JET),
    "fed_jet": AircraftParameters.model_validate(
        {
            **JET,
            "authority": dict.fromkeys(("legs", "hydraulics", "brakes", "antiskid"), "feed"),
            "lamps": {"warning_test_lights": "red_lamps"},
        }
    ),
    "pumped": twin(
        engines=0,
        steering={"steering_leg": None},
        cold_weather={},
        emergency={"means": "hand_pump", "pump_without_handle": True},
        brakes={"needs_hydraulics": False, "parking_brake": False, "emergency_brake": False},
    ),
}
"""Aircraft that have all names between them."""
LOCKS = (
    LegLocks(up_locked=True, down_locked=False),
    LegLocks(up_locked=False, down_locked=True),
    LegLocks(),
)
LEGS = (
    LegFacts(LegState.UP_LOCKED, Line(start=0.0), LOCKS[0]),
    LegFacts(LegState.EXTENDING, Line(start=0.25), LOCKS[1], in_transit=True),
    LegFacts(LegState.UNKNOWN, None, LOCKS[2]),
)
AT_WORK = SwitchState(
    gear_handle=HandleContacts.BETWEEN,
    **{
        name: place % 3 == 0
        for place, name in enumerate(
            (
                "horn_silence",
                "lamp_test",
                "warning_test",
                "steering_button",
                "lever_horn_silence",
                "second_steering_button",
                "downlock_release",
                "gear_reset",
                "aux_pump",
                "emergency_extend",
                "hand_pump",
                "antiskid",
                "cold_weather",
                "night",
                "fluid_test",
            )
        )
    },
    dimmer=0.25,
    parking_brake=0.125,
    emergency_brake=0.375,
    left_brake=0.5,
    right_brake=0.625,
    tiller=0.75,
)
FLYING = AircraftState(
    airspeed_kias=120.0,
    altitude_ft=1500.0,
    ground_speed_kt=118.0,
    throttle_fraction=(0.1, 0.2),
    flap_deg=20.0,
    strut_compressed=(True, False, None),
    leg_locks=LOCKS,
    gear_handle=GearPosition.UP,
    hydraulic_pressure_psi=2900.0,
    engine_running=(True, False),
    bus_powered=True,
    wheel_speed_rpm=(100.0, 200.0, 300.0, 400.0),
    brake_pedal_fraction=(0.3, 0.4),
    steering_pedal_fraction=-0.5,
    brake_pressure_psi=(700.0, 800.0),
    antiskid_working=(True, False, True, None),
)


def worlds(aircraft: AircraftParameters) -> tuple[World, World]:
    """One in which all inputs are known and no two lamps or legs are alike, and a lost one."""
    known, lost = PanelLogic(aircraft), PanelLogic(aircraft)
    known.step(0.0, AT_WORK, FLYING)
    lost.step(0.0, SwitchState(), AircraftState())
    world = known.world()
    lamps = {name: place for place, name in enumerate(lamps_of(aircraft), start=1)}
    shown = ShownFacts(Outputs(lamps, HornPattern.CONTINUOUS), failures=("a wire is off",))
    gear = replace(world[GearFacts], legs=LEGS)
    return world.having({ShownFacts: shown, GearFacts: gear}), lost.world()


def listed(aircraft: AircraftParameters) -> Iterator[str]:
    """The list of an aircraft, a line a name."""
    known, lost = worlds(aircraft)
    for name, switch in switches_of(aircraft).items():
        yield f"switch {name}: {switch.label}, {_must(switch.required)}"
    for name, lamp in lamps_of(aircraft).items():
        yield f"lamp {name}: {lamp.label}, {_must(lamp.required)}, {lamp.colour}"
    for name, gauge in gauges_of(aircraft).items():
        yield f"gauge {name}: {gauge.label}, {gauge.unit or 'no unit'}, in steps of {gauge.step:g}"
    for name, solenoid in solenoids_of(aircraft).items():
        yield f"solenoid {name}: {solenoid.label}"
    (over,) = (one for one in systems_of(aircraft) if isinstance(one, Lamps))
    yield f"the warning test lights: {', '.join(sorted(over.warning_tested))}"
    for target, kinds in faults_of(aircraft).items():
        yield f"fault {target}: {', '.join(kinds)}"
    for value in values_of(aircraft).values():
        yield f"value {value.name}: {value.form} {_what(value)}; {value.label}"
    for signal in vocabulary_of(aircraft).values():
        whose = f" of {signal.output}" if signal.output else ""
        always = ", always known" if signal.never_unknown else ""
        yield (
            f"signal {signal.name}: {signal.group}{whose}{always}, {signal.form} {_what(signal)}; "
            f"{signal.label}; now {signal.read(known)}, lost {signal.read(lost)}"
        )


def _what(value: AircraftValue | Signal) -> str:
    if value.form != "number":
        return "/".join(value.words)
    return f"{value.low:g} to {value.high:g} {value.unit}".rstrip()


def _must(required: bool) -> str:
    return "required" if required else "may be missing"


if __name__ == "__main__":
    for chosen, parameters in AIRCRAFT.items():
        text = "".join(line + "\n" for line in listed(parameters))
        (FOLDER / f"{chosen}.txt").write_text(text, "utf-8")
