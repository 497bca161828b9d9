"""Every name of an aircraft as a list: what it is, what it reads at two instants, what may break.

The lists in ``tests/logic/names`` are what users write into their files: a name, a word, a unit or
a limit that changes there changes files of theirs. After a wanted change, and with care:
``python -m tests.logic.listed_names``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.inventory import (
    faults_of,
    gauges_of,
    lamps_of,
    published_of,
    signals_of_aircraft,
    solenoids_of,
    switches_of,
    warning_tested_of,
)
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegLocks,
    LegState,
    LegView,
    LogicView,
    Outputs,
    SwitchState,
    Value,
)
from tests.logic.build import twin
from tests.logic.whole_aircraft import JET

FOLDER = Path(__file__).parent / "names"
AIRCRAFT: Mapping[str, AircraftParameters] = {
    "plain": twin(),
    "jet": AircraftParameters.model_validate(JET),
    "told_jet": AircraftParameters.model_validate(
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
    dimmer_fraction=0.25,
    parking_brake_fraction=0.125,
    emergency_brake_fraction=0.375,
    left_brake_fraction=0.5,
    right_brake_fraction=0.625,
    tiller_fraction=0.75,
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


@dataclass(frozen=True, slots=True)
class Instant:
    """The panel at one instant."""

    switches: SwitchState
    aircraft: AircraftState
    outputs: Outputs
    shown_lamps: Mapping[str, int]
    view: LogicView
    gear_command: str


def instants(aircraft: AircraftParameters) -> tuple[Instant, Instant]:
    """One at which all is known, and one at which nothing is."""
    legs = tuple(
        LegView(leg.name, state, place / 4, place == 0, locks)
        for place, (leg, state, locks) in enumerate(
            zip(
                aircraft.legs,
                (LegState.UP_LOCKED, LegState.EXTENDING, LegState.RETRACTING),
                LOCKS,
                strict=True,
            )
        )
    )
    published: dict[str, Value] = {}
    for place, info in enumerate(published_of(aircraft)):
        word: Any = info.words[-1] if info.words else None
        published[info.name] = {"number": place + 0.5, "word": word}.get(info.form, True)
    lamps = {name: place + 1 for place, name in enumerate(lamps_of(aircraft))}
    view = LogicView(
        legs=legs,
        handle=None,
        gear_demand=None,
        selection_state="",
        on_ground=True,
        gear_disagrees=False,
        warning_causes=(),
        horn_silenced=True,
        steering_engaged=True,
        faults=("something",),
        values=published,
    )
    outputs = Outputs({}, HornPattern.CONTINUOUS, {"hydraulic_pressure": 1234.0})
    known = Instant(AT_WORK, FLYING, outputs, lamps, view, "up")
    lost = replace(
        view,
        legs=tuple(LegView(leg.name, LegState.UNKNOWN, None, None, LegLocks()) for leg in legs),
        on_ground=False,
        gear_disagrees=True,
        horn_silenced=False,
        steering_engaged=False,
        faults=(),
        values={},
    )
    return known, Instant(SwitchState(), AircraftState(), Outputs(), {}, lost, "none")


def listed(aircraft: AircraftParameters) -> Iterator[str]:
    """The list of an aircraft, a line a name."""
    known, lost = instants(aircraft)
    for name, need in switches_of(aircraft).items():
        yield f"switch {name}: {need.label}, {_must(need.required)}"
    for name, lamp in lamps_of(aircraft).items():
        yield f"lamp {name}: {lamp.label}, {_must(lamp.required)}, {' or '.join(lamp.colours)}"
    for kind, needs in (("gauge", gauges_of(aircraft)), ("solenoid", solenoids_of(aircraft))):
        for name, need in needs.items():
            yield f"{kind} {name}: {need.label}, {_must(need.required)}"
    yield f"the warning test lights: {', '.join(sorted(warning_tested_of(aircraft)))}"
    for target, kinds in faults_of(aircraft).items():
        yield f"fault {target}: {', '.join(kinds)}"
    for value in values_of(aircraft).values():
        limits = f"{value.low:g} to {value.high:g} {value.unit}".rstrip()
        what = "/".join(value.words) if value.form == "word" else limits
        yield f"value {value.name}: {value.form} {what}; {value.label}"
    for signal in signals_of_aircraft(aircraft).values():
        limits = f"{signal.low:g} to {signal.high:g} {signal.unit}".rstrip()
        what = "/".join(signal.words) if signal.form == "word" else limits
        whose = f" of {signal.output} as {signal.explained}" if signal.output else ""
        always = ", always known" if signal.always_known else ""
        yield (
            f"signal {signal.name}: {signal.group}{whose}{always}, {signal.form} {what}; "
            f"{signal.label}; now {signal.read(known)}, lost {signal.read(lost)}"
        )


def _must(required: bool) -> str:
    return "required" if required else "may be missing"


if __name__ == "__main__":
    for chosen, parameters in AIRCRAFT.items():
        text = "".join(line + "\n" for line in listed(parameters))
        (FOLDER / f"{chosen}.txt").write_text(text, "utf-8")
