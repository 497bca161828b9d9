"""A flight of the jet with everything, word for word: events, values, and reasons.

The story in ``tests/logic/stories`` holds the words that users read. After a wanted change of
words, and with care: ``python -m tests.logic.flight_story``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from msgspec.structs import asdict

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import GearPosition
from tests.logic.build import Bench, changed, ground, switches
from tests.logic.whole_aircraft import JET

FOLDER = Path(__file__).parent / "stories"
ON, OFF = True, False
Moment = tuple[float, Mapping[str, Any], Mapping[str, Any], tuple[str, str | None] | None]
IN_AIR: dict[str, Any] = {"strut_compressed": (False, False, False)}
ON_GROUND: dict[str, Any] = {"strut_compressed": (True, True, True)}
LEVERS = ("parking", "emergency", "left", "right")
REST: Mapping[str, Any] = dict.fromkeys([f"{name}_brake" for name in LEVERS], 0.0)
BUTTONS: Mapping[str, Any] = dict.fromkeys(
    (
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
    ),
    False,
)


def moment(
    wait_s: float,
    *,
    panel: Mapping[str, Any] | None = None,
    fault: tuple[str, str | None] | None = None,
    **aircraft: Any,
) -> Moment:
    """So much later: what changes on the panel and of the aircraft, and what breaks."""
    return wait_s, panel or {}, aircraft, fault


def handle(position: str) -> dict[str, Any]:
    return {"gear_handle": switches(position).get("gear_handle")}


STORY: tuple[Moment, ...] = (
    # Standing, with the parking brake on and the engines stopped.
    moment(1.0, panel={"parking_brake": 1.0, "aux_pump": ON}),
    moment(50.0),
    moment(1.0, engine_running=(True, None), panel={"aux_pump": OFF}),
    moment(10.0, panel={"antiskid": ON, "cold_weather": ON, "fluid_test": ON}),
    moment(1.0, panel={"antiskid": ON, "fluid_test": OFF}, engine_running=(True, True)),
    moment(3.0, panel={"parking_brake": 0.5}, throttle_fraction=(1.0, 1.0)),
    moment(1.0, panel={"parking_brake": 0.0, "steering_button": ON}),
    moment(1.0, steering_pedal_fraction=0.5, ground_speed_kt=20.0),
    moment(1.0, panel=handle("up")),
    moment(1.0, panel={**handle("down"), "steering_button": OFF}),
    # Take-off from slush, raised early.
    moment(20.0, **IN_AIR, airspeed_kias=150.0, ground_speed_kt=150.0),
    moment(5.0, panel=handle("up")),
    moment(3.0, airspeed_kias=210.0),
    moment(30.0, flap_deg=0.0, altitude_ft=9000.0),
    # Descent: horn, silence, flaps.
    moment(20.0, throttle_fraction=(0.0, 0.0), airspeed_kias=150.0),
    moment(1.0, panel={"horn_silence": ON}),
    moment(1.0, panel={"horn_silence": OFF}, altitude_ft=13_000.0),
    moment(1.0, altitude_ft=3000.0, flap_deg=40.0),
    moment(1.0, panel={**handle("down"), "night": ON}),
    moment(3.0, fault=("left", "hung")),
    moment(30.0, fault=("hydraulics", "leaking")),
    moment(60.0, fault=("left", None)),
    moment(1.0, panel={"emergency_extend": ON}),
    moment(30.0, airspeed_kias=None, altitude_ft=None, throttle_fraction=(None, 0.0)),
    # Landing on what is stored, with a wheel that locks.
    moment(5.0, **ON_GROUND, airspeed_kias=110.0, wheel_speed_rpm=(900.0, 900.0, 900.0, 900.0)),
    moment(1.0, panel={"left_brake": 1.0, "right_brake": 0.5}),
    moment(1.0, wheel_speed_rpm=(800.0, 100.0, 800.0, None)),
    moment(1.0, fault=("left_outer_antiskid", "failed")),
    moment(2.0, wheel_speed_rpm=(0.0, 0.0, 0.0, 0.0), ground_speed_kt=None),
    moment(1.0, panel={"left_brake": 0.0, "emergency_brake": 1.0}),
    moment(1.0, panel={"emergency_brake": 0.0, "lamp_test": ON}),
    moment(1.0, panel={"lamp_test": OFF, "warning_test": ON, "downlock_release": ON}),
    moment(1.0, panel={"warning_test": OFF, "downlock_release": OFF}, bus_powered=False),
    moment(1.0, bus_powered=None, strut_compressed=(True, None, False)),
    moment(20.0, leg_locks=(), panel={"gear_reset": ON, "emergency_extend": OFF}),
    moment(1.0, panel={"gear_reset": OFF, "left_brake": None}),
)


def story_lines() -> Iterator[str]:
    """The story, a line a word of it."""
    aircraft = AircraftParameters.model_validate(JET)
    bench = Bench(aircraft)
    outputs = (*bench.logic.step(0.0, bench.switches, bench.aircraft).outputs.lamps, "horn")
    found: dict[str, Any] = {
        "gear_handle": GearPosition.DOWN,
        "bus_powered": True,
        "airspeed_kias": 0.0,
    }
    more: dict[str, Any] = {
        "altitude_ft": 500.0,
        "ground_speed_kt": 0.0,
        "engine_running": (False, False),
    }
    bench.at(0.0, switches("down", **BUTTONS, **REST), ground((0.1, 0.1), 20.0, **found, **more))
    before: dict[str, str] = {}
    seen: set[tuple[str, str]] = set()
    for wait_s, panel, state, fault in STORY:
        done = [f"{name}={value}" for name, value in {**panel, **state}.items()]
        done += [] if fault is None else [f"{fault[0]} {fault[1] or 'mended'}"]
        until_s = bench.now_s + wait_s
        while bench.logic.next_due_s < until_s:  # as the engine does
            bench.at(bench.logic.next_due_s)
        bench.at(until_s, changed(bench.switches, **panel), changed(bench.aircraft, **state))
        if fault is not None:
            bench.logic.set_fault(until_s, *fault)
            bench.at(until_s)
        yield f"== {until_s:g} s: {', '.join(done) or 'time passes'}"
        for one in bench.events:
            yield f"  {one.time_s:.2f} {one.name} ({one.level}) {one.subject}: {one.text}"
        bench.events.clear()
        for name, value in shown(bench):
            if before.get(name) != value:
                before[name] = value
                yield f"  {name} = {value}"
        for name in outputs:
            for reason in bench.logic.reasons(name):
                holds = "yes" if reason.holds else "no"
                line = f"{holds}, {reason.condition}: {reason.detail}".rstrip(": ")
                if (name, line) not in seen:  # story_lines once in the story
                    seen.add((name, line))
                    yield f"    {name}: {line}"


def shown(bench: Bench) -> Iterator[tuple[str, str]]:
    """All that the panel shows and asks for, and the values of the systems."""
    result, view = bench.result, bench.logic.view()
    for lamp, level in result.outputs.lamps.items():
        yield lamp, str(level)
    yield "horn", result.outputs.horn.value
    for name, steps in {**result.outputs.gauges, **result.outputs.solenoids}.items():
        yield f"{name} (gauge or solenoid)", f"{steps:g}"
    for name, asked in asdict(result.commands).items():
        yield f"command {name}", str(asked)
    yield "faults", "; ".join(view.faults)
    for name, value in view.values.items():
        yield f"value {name}", str(round(value, 3) if isinstance(value, float) else value)


if __name__ == "__main__":
    (FOLDER / "jet.txt").write_text("".join(line + "\n" for line in story_lines()), "utf-8")
