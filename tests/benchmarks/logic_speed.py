"""How fast the logic of the twin jet is, which has every system.

``python -m tests.benchmarks.logic_speed`` measures all of these, or those that are named:

* ``systems_hour``: an hour of flight at 50 Hz in which the airspeed alone moves, x real time;
* ``flight_hour``: the built-in flight at 50 Hz with its pilot, x real time;
* ``making``: a logic of the aircraft, ms; ``save``, ``restore``: in the middle of the flight, us;
* ``scenarios``: every shipped scenario in one process, its start included, s.

Processor time, the least of the rounds. What is wanted stands beside it and decides no exit code.
"""

from __future__ import annotations

import argparse
import cProfile
import gc
import pstats
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from math import sin

from msgspec.structs import replace

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.feeds.demo_flight import DemoFlight
from panelbridge.feeds.flight_script import DURATION_S, PILOT_ACTIONS, PilotAction
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.switches import operated_first
from panelbridge.signals import AircraftState, GearPosition, HandleContacts, SwitchState
from tests.benchmarks.in_turns import ROOT, scenarios

STEP_S = 0.02
HOUR_STEPS = 180_000
TIMES = 100
"""Calls in a round, of what takes less than a clock can tell."""
AIRCRAFT = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
PARKED = SwitchState(
    gear_handle=HandleContacts.DOWN,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer=1.0,
    aux_pump=False,
    emergency_extend=False,
    antiskid=True,
    cold_weather=False,
    parking_brake=0.0,
    emergency_brake=0.0,
)
IN_CRUISE = PARKED.having(gear_handle=HandleContacts.UP)
Step = tuple[float, SwitchState, AircraftState]


def cruise(steps: int = HOUR_STEPS) -> list[Step]:
    """Gear up, one lever closed: the airspeed alone decides whether the horn sounds."""
    still = AircraftState(
        airspeed_kias=220.0,
        altitude_ft=9000.0,
        ground_speed_kt=240.0,
        throttle_fraction=(0.1, 0.7),
        flap_deg=0.0,
        strut_compressed=(False, False, False),
        gear_handle=GearPosition.UP,
        engine_running=(True, True),
        bus_powered=True,
        wheel_speed_rpm=(0.0, 0.0, 0.0, 0.0),
        brake_pedal_fraction=(0.0, 0.0),
        steering_pedal_fraction=0.0,
    )
    speeds = [207.0 + 25.0 * sin(n / 1500.0) + 0.4 * sin(n * 0.7) for n in range(steps)]
    return [
        (n * STEP_S, IN_CRUISE, replace(still, airspeed_kias=kias)) for n, kias in enumerate(speeds)
    ]


def built_in_flight() -> list[Step]:
    """Every step of the flight, with its pilot's switches and the simulator's handle."""
    assert AIRCRAFT.brakes is not None
    flight = DemoFlight(
        AIRCRAFT.leg_names, AIRCRAFT.engines, wheels=[one.side for one in AIRCRAFT.brakes.wheels]
    )
    logic, switches, actions = PanelLogic(AIRCRAFT), PARKED, list(PILOT_ACTIONS)
    steps = []
    for number in range(round(DURATION_S / STEP_S)):
        now_s = number * STEP_S
        while actions and actions[0].time_s <= now_s:
            switches = moved(switches, actions.pop(0))
        steps.append((now_s, switches, flight.read(now_s).aircraft))
        flight.send(now_s, logic.step(*steps[-1]).commands)
    return steps


def moved(switches: SwitchState, action: PilotAction) -> SwitchState:
    """The switches after an action of the pilot."""
    position = action.position
    if action.switch == "gear_handle":
        return switches.having(gear_handle=HandleContacts(str(position)))
    if isinstance(position, str):
        position = position == operated_first(action.switch)[0]
    return switches.having(**{action.switch: position})


def play(steps: Sequence[Step]) -> PanelLogic:
    """Every step through a fresh logic."""
    logic = PanelLogic(AIRCRAFT)
    step = logic.step
    for now_s, switches, aircraft in steps:
        step(now_s, switches, aircraft)
    return logic


def repeated(work: Callable[[], object]) -> Callable[[], object]:
    """The work, ``TIMES`` times."""

    def all_of_it() -> None:
        for _ in range(TIMES):
            work()

    return all_of_it


def least_s(work: Callable[[], object], rounds: int) -> float:
    """Processor time of the quickest round, s: what others do on the machine hardly counts."""
    took_s = []
    for _ in range(rounds):
        gc.collect()
        began_s = time.process_time()
        work()
        took_s.append(time.process_time() - began_s)
    return min(took_s)


def line(words: str, value: float, wanted: str) -> str:
    """A line of the report; ``wanted`` is a sign and a number: ``<= 30``."""
    sign, limit = wanted.split()
    met = value >= float(limit) if sign == ">=" else value <= float(limit)
    return f"{words:<48}{value:>10.2f}  wanted {wanted}: {'met' if met else 'NOT MET'}"


def real_time(words: str, steps: Sequence[Step], wanted: str, rounds: int) -> Iterator[str]:
    """How many times faster than real time the steps are played."""
    took_s = least_s(lambda: play(steps), rounds)
    yield line(f"{words}, x real time", len(steps) * STEP_S / took_s, wanted)
    yield f"  {len(steps)} steps, {took_s / len(steps) * 1e6:.2f} us each"


def systems_hour(rounds: int) -> Iterator[str]:
    """The airspeed alone moves."""
    yield from real_time("systems_hour", cruise(), ">= 20000", rounds)


def flight_hour(rounds: int) -> Iterator[str]:
    """Everything moves."""
    yield from real_time("flight_hour", built_in_flight(), ">= 2000", rounds)


def making(rounds: int) -> Iterator[str]:
    """A fresh logic."""
    took_s = least_s(repeated(lambda: PanelLogic(AIRCRAFT)), rounds)
    yield line("making the logic, ms", took_s / TIMES * 1e3, "<= 1")


def save(rounds: int) -> Iterator[str]:
    """The state, as plain data."""
    logic = in_the_middle()
    yield line("save, us", least_s(repeated(logic.save), rounds) / TIMES * 1e6, "<= 30")


def restore(rounds: int) -> Iterator[str]:
    """The state, put back into another logic."""
    saved, logic = in_the_middle().save(), PanelLogic(AIRCRAFT)
    took_s = least_s(repeated(lambda: logic.restore(saved)), rounds)
    yield line("restore, us", took_s / TIMES * 1e6, "<= 30")


def in_the_middle() -> PanelLogic:
    """A logic with the gear on its way: much of it is in memory then."""
    return play([one for one in built_in_flight() if one[0] < 60.0])


def shipped(rounds: int) -> Iterator[str]:
    """Shipped scenarios."""
    took_s = min(next(iter(scenarios(ROOT).values())) for _ in range(rounds))
    yield line("shipped scenarios in one process, s", took_s, "<= 6")


MEASURES: dict[str, Callable[[int], Iterator[str]]] = {
    "systems_hour": systems_hour,
    "flight_hour": flight_hour,
    "making": making,
    "save": save,
    "restore": restore,
    "scenarios": shipped,
}


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("measures", nargs="*", metavar="MEASURE", help=", ".join(MEASURES))
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--profile", action="store_true", help="where the time goes")
    options = parser.parse_args()
    if unknown := set(options.measures) - set(MEASURES):
        parser.error(f"no measure is named {', '.join(sorted(unknown))}")
    with cProfile.Profile() as profile:
        if not options.profile:
            profile.disable()
        for name in options.measures or MEASURES:
            for text in MEASURES[name](options.rounds):
                print(text, flush=True)
    if options.profile:
        pstats.Stats(profile).sort_stats("tottime").print_stats(20)
    return 0


if __name__ == "__main__":
    sys.exit(main())
