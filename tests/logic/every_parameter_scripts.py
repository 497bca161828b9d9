"""Scripted runs that together reach every parameter of an aircraft, and what is seen in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from typing import Any

from msgspec.structs import replace

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import faults_of
from panelbridge.signals import GearPosition, HandleContacts, LegLocks
from tests.logic.whole_runs import Move, Moves, Run, scenes

Seen = list[tuple[float, object]]
Script = list[tuple[float, Move]]


def switch(**switches: Any) -> Move:
    """Switches that move."""
    return Move(switches)


def feed(**aircraft: Any) -> Move:
    """Values of the aircraft that change."""
    return Move({}, aircraft)


def ramp(name: str, low: float, high: float, steps: int, *, each_s: float = 0.05) -> Script:
    """A value of the aircraft that goes from one number to another."""
    numbers = [low + (high - low) * step / steps for step in range(steps + 1)]
    return [(each_s, feed(**{name: number})) for number in numbers]


def levers(low: float, high: float, steps: int, engines: int, *, each_s: float = 0.25) -> Script:
    """All throttle levers."""
    numbers = [low + (high - low) * step / steps for step in range(steps + 1)]
    return [(each_s, feed(throttle_fraction=(number,) * engines)) for number in numbers]


def knob(name: str, low: float, high: float, steps: int, *, each_s: float = 0.05) -> Script:
    """A lever of the panel."""
    numbers = [low + (high - low) * step / steps for step in range(steps + 1)]
    return [(each_s, switch(**{name: number})) for number in numbers]


def press(name: str) -> Script:
    """A button, pressed and let go."""
    return [(0.3, switch(**{name: True})), (0.3, switch(**{name: False}))]


UP, DOWN = (Move({"gear_handle": HandleContacts(word)}) for word in ("up", "down"))


def scripts(aircraft: AircraftParameters) -> Mapping[str, Moves]:
    """Every script; what an aircraft has not is moved in vain."""
    scene, engines, legs = scenes(aircraft), aircraft.engines, len(aircraft.legs)
    wheels = 4
    parked, gear_up, approach = scene["parked"], scene["gear up"], scene["approach"]

    def rolling(*rpm: float | None) -> Move:
        return feed(wheel_speed_rpm=rpm)

    cold_start: Script = [
        (0.0, replace(parked, aircraft={**parked.aircraft, **scene["engines off"].aircraft})),
        (0.5, switch(parking_brake=1.0)),
        (0.5, switch(aux_pump=True)),
        (45.0, switch(aux_pump=False)),
        (30.0, switch(parking_brake=0.0)),
        (1.0, switch(parking_brake=1.0)),
        (150.0, feed(engine_running=(True, *(False,) * (engines - 1))[:engines])),
        (30.0, feed(engine_running=(*(False,) * (engines - 1), True)[:engines])),
        (30.0, scene["engines on"]),
        (8.0, switch(parking_brake=0.0)),
        *press("fluid_test"),
        (9.0, scene["engines off"]),
        (90.0, scene["engines on"]),
    ]
    brakes: Script = [
        (0.0, parked),
        (30.0, scene["engines off"]),
        (900.0, feed(throttle_fraction=(0.0,) * engines)),
        *knob("left_brake", 0.0, 1.0, 50),
        *knob("left_brake", 1.0, 0.0, 20),
        *(
            one
            for _ in range(9)
            for one in (
                (0.4, switch(left_brake=1.0, right_brake=1.0)),
                (0.4, switch(left_brake=0.0, right_brake=0.0)),
            )
        ),
        *knob("parking_brake", 0.0, 1.0, 40),
        (2.0, switch(parking_brake=0.0)),
        *knob("emergency_brake", 0.0, 1.0, 40),
        *knob("emergency_brake", 1.0, 0.0, 40),
        (1.0, scene["engines on"]),
        (20.0, switch(parking_brake=1.0)),
        *levers(0.0, 1.0, 40, engines, each_s=0.1),
        *knob("parking_brake", 1.0, 0.0, 40),
        (1.0, Move(fault=("parking_brake", "sticking"))),
        (1.0, switch(parking_brake=1.0)),
        (1.0, switch(parking_brake=0.0)),
        *[(2.0, Move())] * 70,
        (1.0, Move(fault=("parking_brake", None))),
        (1.0, switch(parking_brake=1.0)),
        (1.0, scene["engines off"]),
        (900.0, Move(fault=("hydraulics", "leaking"))),
        *[(2.0, Move())] * 70,
        (1.0, switch(parking_brake=0.0)),
        *[(0.1, feed(brake_pressure_psi=(float(psi),) * 2)) for psi in range(0, 90, 10)],
    ]
    up = range(0, 420, 10)
    antiskid: Script = [
        (0.0, parked),
        (0.0, feed(wheel_speed_rpm=(400.0,) * wheels, ground_speed_kt=80.0)),
        (20.0, switch(antiskid=True)),
        (5.0, switch(left_brake=1.0, right_brake=1.0)),
        *[(0.1, rolling(*(float(rpm),) * wheels)) for rpm in range(0, 420, 10)],
        *[
            (0.02, rolling(float(rpm), 400.0, 400.0, 400.0))
            for rpm in (*range(400, -1, -10), *range(0, 420, 10))
        ],
        *[(0.1, rolling(400.0, float(rpm), 400.0, 400.0)) for rpm in range(400, -1, -10)],
        *[(0.1, rolling(400.0, 400.0, float(rpm), 400.0)) for rpm in range(400, -1, -10)],
        *[(0.1, rolling(400.0, 400.0, 400.0, float(rpm))) for rpm in range(400, -1, -10)],
        (0.2, feed(wheel_speed_rpm=(0.0,) * wheels, strut_compressed=(False,) * legs)),
        (3.0, feed(strut_compressed=(False,) * (legs - 1) + (True,))),
        (2.0, feed(strut_compressed=(False,) * (legs - 2) + (True,) * 2)),
        *[(0.5, Move())] * 16,
        *[(0.1, rolling(*(float(rpm),) * wheels)) for rpm in (*up, *reversed(up))],
        (1.0, switch(antiskid=False)),
        (1.0, switch(antiskid=True)),
        (5.0, rolling(*(650.0,) * wheels)),
        *[(0.1, feed(ground_speed_kt=float(kt))) for kt in (*range(5, 160, 5), *range(160, 0, -2))],
        (1.0, feed(ground_speed_kt=60.0)),
        (1.0, rolling(*(0.0,) * wheels)),
        *[(0.5, Move())] * 12,
        (1.0, switch(antiskid=False)),
        (1.0, switch(antiskid=True)),
        (5.0, rolling(None, 650.0, 650.0, 1500.0)),
        *[(0.5, Move())] * 12,
        (1.0, scene["engines off"]),
        (200.0, scene["engines on"]),
        (1.0, switch(left_brake=0.0, right_brake=0.0)),
        (0.1, feed(antiskid_working=(True, False, True, True))),
        (2.0, switch(antiskid=False)),
    ]
    landing_brake: Script = [
        (0.0, parked),
        (20.0, scene["lift off"]),
        (5.0, switch(parking_brake=1.0)),
        (5.0, switch(parking_brake=0.0)),
        (5.0, Move()),
    ]
    steering: Script = [
        (0.0, parked),
        (30.0, switch(tiller=1.0, steering_button=True)),
        *ramp("ground_speed_kt", 0.0, 120.0, 240, each_s=0.01),
        (1.0, feed(ground_speed_kt=12.0)),
        (1.0, scene["bus off"]),
        (1.0, scene["bus on"]),
        (1.0, switch(steering_button=False)),
        (1.0, scene["engines off"]),
        (300.0, switch(steering_button=True)),
        (5.0, scene["engines on"]),
    ]
    wheel_lock: Script = [
        (0.0, parked),
        (30.0, switch(tiller=1.0, wheel_lock=False)),
        *press("steering_button"),
        *press("wheel_lock"),
        *press("steering_button"),
        *press("wheel_lock"),
        (1.0, switch(steering_button=True)),
        *press("wheel_lock"),
    ]
    flight: Script = [
        (0.0, parked),
        (20.0, switch(downlock_release=False)),
        (1.0, UP),
        (1.0, DOWN),
        (0.1, switch(cold_weather=True)),
        (1.0, feed(strut_compressed=(False,) * legs)),
        (0.3, scene["lift off"]),
        (3.0, UP),
        (25.0, DOWN),
        (30.0, UP),
        (3.0, DOWN),
        (30.0, scene["bus off"]),
        (1.0, UP),
        (9.0, scene["bus on"]),
        (1.0, scene["bus off"]),
        (40.0, DOWN),
        (1.0, scene["bus on"]),
        (30.0, switch(antiskid=False)),
        *(
            one
            for low, high in ((0.0, 1.0), (0.3, 0.75), (0.1, 0.5), (0.0, 1.0), (0.0, 1.0))
            for one in (
                (0.4, feed(brake_pedal_fraction=(high, high))),
                (0.4, feed(brake_pedal_fraction=(low, low))),
            )
        ),
        (1.0, switch(antiskid=True)),
        (5.0, scene["touch down"]),
    ]
    pedals: Script = [
        (0.0, approach),
        (5.0, switch(cold_weather=True, antiskid=False)),
        *(
            one
            for high in (0.5, 0.55, 0.58, 0.62, 0.66, 0.7, 1.0)
            for one in (
                (0.2, feed(brake_pedal_fraction=(high, high))),
                (0.2, feed(brake_pedal_fraction=(0.0, 0.0))),
            )
        ),
    ]
    released: Script = [
        (0.0, approach),
        (5.0, switch(cold_weather=True, antiskid=False)),
        *(
            one
            for low in (0.3, 0.25, 0.22, 0.18, 0.15, 0.12, 0.0)
            for one in (
                (0.2, feed(brake_pedal_fraction=(1.0, 1.0))),
                (0.2, feed(brake_pedal_fraction=(low, low))),
            )
        ),
    ]
    warning: Script = [
        (0.0, gear_up),
        (1.0, feed(airspeed_kias=100.0)),
        *levers(1.0, 0.0, 40, engines),
        *levers(0.0, 0.6, 60, engines),
        (1.0, feed(throttle_fraction=(0.1, *(0.8,) * (engines - 1))[:engines])),
        (0.07, scene["levers open"]),
        (2.0, scene["levers closed"]),
        (0.2, scene["levers open"]),
        (2.0, scene["levers closed"]),
        *press("horn_silence"),
        (1.0, scene["levers open"]),
        (1.0, scene["levers closed"]),
        *press("lever_horn_silence"),
        (1.0, feed(throttle_fraction=(0.1, *(0.8,) * (engines - 1))[:engines])),
        (1.0, scene["levers closed"]),
        *press("horn_silence"),
        *levers(0.1, 0.6, 50, engines),
        (1.0, scene["levers closed"]),
        *ramp("airspeed_kias", 100.0, 260.0, 160),
        *ramp("airspeed_kias", 260.0, 100.0, 160),
        *ramp("altitude_ft", 8000.0, 14000.0, 60),
        *ramp("altitude_ft", 14000.0, 8000.0, 60),
        (1.0, scene["levers open"]),
        *ramp("flap_deg", 0.0, 40.0, 40),
        *press("horn_silence"),
        (1.0, feed(flap_deg=0.0)),
        (1.0, feed(flap_deg=40.0, airspeed_kias=210.0)),
    ]
    speeds: Script = [
        (0.0, approach),
        (12.0, feed(airspeed_kias=0.0)),
        *ramp("airspeed_kias", 100.0, 260.0, 160),
        *ramp("airspeed_kias", 260.0, 100.0, 160),
        (0.1, UP),
        *ramp("airspeed_kias", 100.0, 260.0, 160, each_s=0.005),
        *ramp("airspeed_kias", 260.0, 100.0, 160, each_s=0.005),
        (40.0, DOWN),
        *ramp("airspeed_kias", 100.0, 260.0, 160, each_s=0.005),
        *ramp("airspeed_kias", 260.0, 100.0, 160, each_s=0.005),
    ]
    ground: Script = [
        (0.0, parked),
        (12.0, feed(strut_compressed=(*(True,) * (legs - 1), False))),
        (0.1, feed(strut_compressed=(True,) * legs)),
        (1.0, feed(strut_compressed=(True, *(False,) * (legs - 1)))),
        (30.0, feed(strut_compressed=(*(False,) * (legs - 1), True))),
        (1.0, feed(strut_compressed=(False,) * legs)),
        (0.1, feed(strut_compressed=(True,) * legs)),
        (0.22, feed(strut_compressed=(False,) * legs)),
        (0.3, feed(strut_compressed=(True,) * legs)),
        (1.0, UP),
        (1.0, switch(downlock_release=True)),
        *press("horn_silence"),
        (1.0, feed(throttle_fraction=(0.1,) * engines)),
        (1.0, switch(squat_override=False)),
        (1.0, feed(airspeed_kias=150.0)),
        *press("squat_override"),
        (20.0, feed(strut_compressed=(True, *(False,) * (legs - 1)))),
        *press("squat_override"),
        (40.0, DOWN),
    ]
    lamps: Script = [
        (0.0, gear_up),
        (12.0, switch(dimmer=0.0)),
        (0.1, DOWN),
        (3.0, switch(night=True)),
        *press("warning_test"),
        (1.0, switch(dimmer=1.0)),
        (9.0, switch(dimmer=0.0)),
        *press("lamp_test"),
        *press("warning_test"),
        (0.1, switch(night=False)),
    ]
    emergency: Script = [
        (0.0, gear_up),
        (12.0, scene["engines off"]),
        (1.0, switch(emergency_extend=True)),
        (0.5, switch(hand_pump=True)),
        (0.5, switch(hand_pump=False)),
        *(one for _ in range(12) for one in press("hand_pump")),
        (20.0, UP),
        (1.0, switch(steering_button=True)),
        *(
            one
            for _ in range(9)
            for one in (
                (0.5, switch(emergency_brake=1.0)),
                (0.5, switch(emergency_brake=0.0)),
            )
        ),
        (1.0, switch(gear_handle=HandleContacts.DOWN, steering_button=False)),
        (1.0, scene["touch down"]),
        (1.0, switch(emergency_extend=False)),
        *press("gear_reset"),
        (1.0, Move(fault=("air_bottle", "leaking"))),
        (400.0, switch(emergency_extend=True)),
        (1.0, Move(fault=("air_bottle", None))),
    ]
    hand_pump: Script = [
        (0.0, gear_up),
        (12.0, scene["bus off"]),
        *[(3.0, switch(hand_pump=stroke % 2 == 0)) for stroke in range(8)],
        *(one for _ in range(30) for one in press("hand_pump")),
        (9.0, scene["bus on"]),
    ]
    broken: Script = [
        (0.0, parked),
        (20.0, scene["engines off"]),
        (1.0, Move(fault=("aux_pump", "runs_on"))),
        (1.0, switch(aux_pump=True)),
        (60.0, Move(fault=("aux_pump", None))),
        (1.0, switch(aux_pump=False)),
        (1.0, scene["engines on"]),
        (30.0, Move(fault=("hydraulics", "leaking"))),
        (1042.0, scene["engines off"]),
        *[(10.0, Move())] * 45,
        (1.0, Move(fault=("hydraulics", None))),
        (1.0, scene["engines on"]),
        (0.0, gear_up),
        (30.0, Move(fault=("nose", "hung"))),
        (1.0, DOWN),
        (60.0, Move(fault=("nose", None))),
        (1.0, switch(gear_reset=True)),
        (40.0, switch(gear_reset=False)),
    ]
    reported_pressure: Script = [
        (0.0, parked),
        *ramp("hydraulic_pressure_psi", 0.0, 3000.0, 60),
        *ramp("hydraulic_pressure_psi", 3000.0, 0.0, 60),
    ]
    safe = feed(
        flap_deg=10.0,
        speed_brake_fraction=0.0,
        trim_units=1.0,
        airspeed_kias=0.0,
        throttle_fraction=(0.9,) * engines,
    )
    takeoff: Script = [
        (0.0, parked),
        (20.0, switch(parking_brake=0.0, takeoff_silence=False, master_reset=False)),
        *press("master_reset"),
        (1.0, safe),
        *levers(0.9, 0.5, 40, engines, each_s=0.1),
        *ramp("flap_deg", 0.0, 30.0, 60),
        *levers(0.5, 0.9, 40, engines, each_s=0.1),
        *levers(0.9, 0.5, 40, engines, each_s=0.1),
        *levers(0.5, 0.9, 40, engines, each_s=0.1),
        *press("takeoff_silence"),
        *press("master_reset"),
        (1.0, safe),
        (1.0, switch(parking_brake=0.5)),
        (1.0, switch(parking_brake=0.0)),
        *ramp("flap_deg", 0.0, 30.0, 60),
        (1.0, safe),
        *ramp("speed_brake_fraction", 0.0, 0.3, 60),
        (1.0, safe),
        *ramp("trim_units", -4.0, 6.0, 100),
        (1.0, safe),
        *[
            one
            for kias in range(60, 100, 2)
            for one in (
                (0.1, feed(airspeed_kias=float(kias), flap_deg=0.0)),
                (0.1, feed(flap_deg=10.0)),
            )
        ],
        (1.0, feed(airspeed_kias=60.0, flap_deg=0.0)),
        *[
            one
            for place in range(legs)
            for one in (
                (1.0, feed(strut_compressed=tuple(leg != place for leg in range(legs)))),
                (1.0, feed(strut_compressed=(True,) * legs)),
            )
        ],
        (1.0, Move(fault=("hydraulics", "leaking"))),
        (300.0, Move(fault=("hydraulics", None))),
        (1.0, switch(master_warning_reset=False, master_caution_reset=False)),
        *press("master_warning_reset"),
        *press("master_caution_reset"),
    ]
    stop: Script = [
        (0.1, feed(ground_speed_kt=120.0)),
        (0.1, switch(left_brake=1.0, right_brake=1.0)),
        *ramp("ground_speed_kt", 120.0, 0.0, 30, each_s=0.5),
        (1.0, switch(left_brake=0.0, right_brake=0.0)),
    ]
    heat: Script = [
        (0.0, parked),
        (30.0, switch(parking_brake=0.0, antiskid=False)),
        *stop,
        *[(60.0, Move())] * 60,
        *stop,
        (10.0, feed(strut_compressed=(False,) * legs)),
        *[(60.0, Move())] * 20,
    ]
    own: Script = [
        (0.0, gear_up),
        (5.0, switch(fuel_pump=False, vanes=False, call=False, mixture=0.0)),
        *press("fuel_pump"),
        *press("call"),
        *knob("mixture", 0.0, 1.0, 10),
        (1.0, switch(vanes=True)),
        (1.0, feed(airspeed_kias=200.0)),
        (1.0, switch(vanes=False)),
    ]
    night_light: Script = [
        (0.0, parked),
        *knob("dimmer", 1.0, 0.0, 50),
        *knob("dimmer", 0.0, 1.0, 50),
    ]
    free = feed(leg_locks=(LegLocks(up_locked=False, down_locked=False),) * len(aircraft.legs))
    apart: Script = [
        (0.0, scene["approach"]),
        (1.0, feed(gear_handle=GearPosition.UP)),
        (60.0, feed(gear_handle=GearPosition.DOWN)),
        (1.0, free),
        (60.0, Move()),
    ]
    no_data: Script = [
        (0.0, scene["approach"]),
        (1.0, feed(throttle_fraction=())),
        (60.0, feed(throttle_fraction=(0.5,) * aircraft.engines, flap_deg=None)),
        (60.0, feed(flap_deg=0.0)),
    ]
    no_engines: Script = [
        (0.0, scene["approach"]),
        (0.0, feed(engine_running=())),
        (300.0, switch(gear_handle=HandleContacts.UP)),
        (5.0, Move()),
    ]
    electric: Script = [
        (0.0, gear_up),
        (5.0, feed(bus_voltage_v=18.0)),
        (1.0, DOWN),
        (3.0, switch(gear_breaker=True)),
        (3.0, switch(gear_breaker=False)),
        *ramp("bus_voltage_v", 18.0, 8.0, 40),
        (5.0, feed(bus_voltage_v=24.0)),
        (15.0, Move()),
    ]
    return {
        "electric": electric,
        "wheel_lock": wheel_lock,
        "apart": apart,
        "no_data": no_data,
        "no_engines": no_engines,
        "flight": flight,
        "warning": warning,
        "brakes": brakes,
        "cold_start": cold_start,
        "antiskid": antiskid,
        "landing_brake": landing_brake,
        "steering": steering,
        "pedals": pedals,
        "released": released,
        "speeds": speeds,
        "ground": ground,
        "lamps": lamps,
        "emergency": emergency,
        "hand_pump": hand_pump,
        "broken": broken,
        "reported_pressure": reported_pressure,
        "takeoff": takeoff,
        "heat": heat,
        "own": own,
        "night_light": night_light,
    }


def seen_in(aircraft: AircraftParameters, name: str) -> Seen:
    """All that a script shows, where it changes: what comes out, and values.

    Reasons are left out: a number that only reasons show is not one that a rule reads.
    """
    return list(chain.from_iterable(_seen_by_move(aircraft, name, scripts(aircraft)[name])))


def _seen_by_move(aircraft: AircraftParameters, name: str, moves: Moves) -> Iterator[Seen]:
    """The same, as far as each move brings it."""
    seen: Seen = []

    def look(run: Run) -> None:
        result = run.result
        what = (dict(result.outputs.lamps), result.outputs.horn, dict(result.outputs.gauges))
        rest = (dict(result.outputs.solenoids), result.commands)
        reported_now = tuple((round(h.time_s, 9), h.name, h.subject) for h in result.events)
        everything = (*what, *rest, reported_now)
        if not seen or seen[-1][1] != everything:
            seen.append((run.now_s, everything))

    faults = faults_of(aircraft)
    run = Run(aircraft, look)
    for wait_s, move in moves:
        if move.fault is not None and move.fault[0] not in faults:
            continue
        before = len(seen)
        run.move(wait_s, move, by_due=name in LOOKED_AT_OFTEN)
        seen.append((run.now_s, dict(run.view.values)))
        yield seen[before:]


LOOKED_AT_OFTEN = ("lamps", "cold_start")
"""Scripts that are stepped whenever the logic wants it; the others only where something moves."""
_FIRST = {
    "gear_warning": ("warning", "ground"),
    "brakes": ("brakes",),
    "antiskid": ("antiskid",),
    "landing_brake": ("landing_brake",),
    "legs": ("flight",),
    "gear_power": ("flight", "broken"),
    "gear_order": ("flight",),
    "hydraulics": ("broken",),
    "steering": ("steering",),
    "wheel_lock": ("wheel_lock",),
    "speed_limits": ("speeds",),
    "cold_weather": ("flight", "pedals", "released"),
    "emergency": ("emergency", "hand_pump"),
    "lamps": ("lamps",),
    "takeoff_warning": ("takeoff",),
    "alerts": ("takeoff",),
    "brake_heat": ("heat",),
    "own_switches": ("own",),
    "own_horn": ("own",),
    "night_light": ("night_light",),
    "air_ground": ("ground",),
    "agreement": ("apart",),
    "missing_data": ("no_data", "no_engines"),
}
"""Where a change in a group is most likely seen."""


def differs(one: AircraftParameters, others: Iterable[AircraftParameters], group: str) -> bool:
    """Another aircraft is seen to differ in some script; all are tried in the likely ones first."""
    likely, tried = _FIRST.get(group, ()), []
    for other in others:
        moves = scripts(other)
        if any(_differs_in(name, one, other, moves) for name in likely):
            return True
        tried.append((other, moves))
    return any(
        _differs_in(name, one, other, moves)
        for other, moves in tried
        for name in moves
        if name not in likely
    )


def _differs_in(
    name: str, one: AircraftParameters, other: AircraftParameters, moves: Mapping[str, Moves]
) -> bool:
    return _differs(seen_of(one, name), _seen_by_move(other, name, moves[name]))


def _differs(known: Seen, parts: Iterable[Seen]) -> bool:
    """They are not the same in all; nothing is run after the first difference."""
    at = 0
    for part in parts:
        if part != known[at : at + len(part)]:
            return True
        at += len(part)
    return at != len(known)


_known: dict[tuple[int, str], Seen] = {}


def seen_of(aircraft: AircraftParameters, name: str) -> Seen:
    """The same, remembered."""
    key = (id(aircraft), name)
    if key not in _known:
        _known[key] = seen_in(aircraft, name)
    return _known[key]
