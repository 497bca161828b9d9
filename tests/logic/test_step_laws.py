"""What every system of a whole panel keeps to, so that the generic step may run it as it does.

A system is a pure function of its memory, the world and the time; what it declares is its own; its
facts and memory are plain data; and it looks no more often than its inputs ask for.
"""

from __future__ import annotations

import pickle
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from math import inf
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.inventory import faults_of, switches_of, systems_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.own.switches import OwnSwitches
from panelbridge.logic.systems import ORDER, SWITCHES
from panelbridge.logic.vocabulary import signals_of
from tests.benchmarks.logic_speed import built_in_flight, play
from tests.examples import examples, few_of
from tests.logic.every_parameter_scripts import scripts
from tests.logic.flight_story import STORY
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, Moves, Run, moves_of

ALL = {**KINDS, **{f"fed_{kind}": fed(kind) for kind in KINDS}}
Update = Callable[[float, World], Facts]


def runs_of(aircraft: AircraftParameters) -> Iterator[Moves]:
    """The flight of the story and every script; parts that the aircraft has not do not break."""
    flight = [(wait_s, Move(panel, state, fault=fault)) for wait_s, panel, state, fault in STORY]
    parts = faults_of(aircraft)
    for moves in (flight, *scripts(aircraft).values()):
        yield [
            (wait_s, move if move.fault is None or move.fault[0] in parts else Move())
            for wait_s, move in moves
        ]


def run_twice(system: Any) -> None:
    """From now on each update runs again: the same memory, world and time."""
    update: Update = system.update

    def checked(now_s: float, world: World) -> Facts:
        before = (system.memory, system.due_s)
        assert system.noted == []
        facts = update(now_s, world)
        first = (facts, system.memory, system.due_s, system.noted)
        (system.memory, system.due_s), system.noted = before, []
        again = update(now_s, world)
        assert (again, system.memory, system.due_s, system.noted) == first, type(system).__name__
        return again

    system.update = checked


@pytest.mark.parametrize("kind", ALL)
@settings(max_examples=examples(15), deadline=None)
@given(data=st.data())
def test_a_system_is_a_function_of_memory_world_and_time(kind: str, data: st.DataObject) -> None:
    run = Run(ALL[kind])
    for system in run.logic._systems:
        run_twice(system)
    run.play(data.draw(moves_of(ALL[kind], most=14)))


@pytest.mark.parametrize("kind", ALL)
@settings(max_examples=examples(15), deadline=None)
@given(data=st.data())
def test_an_update_that_nothing_asked_for_changes_nothing(kind: str, data: st.DataObject) -> None:
    """After every step each system is updated once more: nothing may come of it."""

    def look(run: Run) -> None:
        world = run.logic._world()
        for system in run.logic._systems:
            before = (system.facts, system.memory, system.due_s)
            facts = system.update(run.now_s, world)
            due_s = system.due_s if system.due_s > run.now_s else inf
            assert (facts, system.memory, due_s) == before, type(system).__name__
            assert system.noted == [], type(system).__name__
            system.memory, system.due_s = before[1:]

    Run(ALL[kind], look).play(data.draw(moves_of(ALL[kind], most=14)))


def test_a_system_that_is_no_function_is_seen() -> None:
    """Guard of this file: a system that counts its updates."""

    class Counting(System[LampFacts]):
        facts = LampFacts()
        count = 0

        def update(self, now_s: float, world: World) -> LampFacts:
            self.count += 1
            self.memory = self.count
            return LampFacts()

    system = Counting()
    run_twice(system)
    with pytest.raises(AssertionError, match="Counting"):
        SystemStep([system]).look(0.0)


# -- who reads whom -------------------------------------------------------------------------------

LATER = {
    ("Hydraulics", "GearFacts"): "the moving gear draws fluid",
    ("Hydraulics", "BrakeSupplyFacts"): "the brakes draw fluid and give it back",
    ("BrakeSupply", "WheelBrakesFacts"): "what each wheel asks for comes after anti-skid",
    ("Emergency", "GearFacts"): "a reset counts only with the gear locked down",
    ("WheelLocks", "AntiskidFacts"): "speeds are compared only while a wheel is watched",
    ("SquatOverride", "GearFacts"): "it lasts as long as the handle is up",
    ("AntiskidMonitor", "AntiskidFacts"): "it watches what anti-skid lets go",
    ("WheelLock", "SteeringFacts"): "a wheel that is steered now is not locked",
    ("Emergency", "BrakesFacts"): "the emergency brake takes air of the bottle",
}
"""Earlier systems that read what later ones publish, and why: for them the pass is repeated."""


@pytest.mark.thorough
def test_only_these_earlier_systems_read_later_ones() -> None:
    found: set[tuple[str, str]] = set()
    looked_at: dict[str, tuple[Any, ...]] = {}

    def look(run: Run) -> None:
        for place, slot in enumerate(run.logic._step._slots):
            name = type(slot.system).__name__
            if looked_at.get(name) is slot.keys:  # it has read the same as at the last step
                continue
            looked_at[name] = slot.keys
            places = {type(one.facts): at for at, one in enumerate(run.logic._systems)}
            found.update(
                (name, key.__name__)
                for key in run.logic._step.read_by(slot.system)
                if isinstance(key, type) and places.get(key, -1) > place
            )

    for aircraft in ALL.values():
        for moves in runs_of(aircraft):
            Run(aircraft, look).play(moves)
    assert found == set(LATER)


# -- how often ------------------------------------------------------------------------------------


@contextmanager
def counted_updates() -> Iterator[Counter[str]]:
    """Counts the updates of every step that is made meanwhile, by the name of the system."""
    updates: Counter[str] = Counter()
    kind: Any = SystemStep
    run = kind._run

    def count(step: SystemStep, slot: Any, *given: Any) -> Any:
        updates[type(slot.system).__name__] += 1
        return run(step, slot, *given)

    kind._run = count
    try:
        yield updates
    finally:
        kind._run = run


MOST_UPDATES = {
    "WheelLocks": 1100,
    "BrakeSupply": 700,
    "BrakePedals": 600,
    "Steering": 350,
    "Hydraulics": 280,
    "SpeedLimits": 230,
    "Brakes": 180,
    "WheelBrakes": 160,
    "BrakeHeat": 160,
    "AntiskidDrain": 130,
}
"""Those that look most, and their bounds: the speeds of braked wheels while they are compared, the
pedals, the speed while the wheel is steered, the airspeed of an exceedance, the speed in knots
while the brakes get hot. Each step of a pedal draws fluid: supply and hydraulics look, and so do
those that read them."""
MOST_UPDATES_OF_OTHERS = 40
MOST_UPDATES_OF_ALL = 4000


def test_systems_look_no_more_often_than_their_inputs_ask_for() -> None:
    """The built-in flight at 50 Hz: 9,950 steps, 3,808 updates."""
    steps = built_in_flight()
    with counted_updates() as updates:
        play(steps)
    assert len(steps) == 9950
    assert 0 < updates.total() <= MOST_UPDATES_OF_ALL, updates
    for name, count in updates.items():
        assert count <= MOST_UPDATES.get(name, MOST_UPDATES_OF_OTHERS), updates


# -- what is declared -----------------------------------------------------------------------------


def doubled(names: Iterable[str]) -> set[str]:
    return {name for name, count in Counter(names).items() if count > 1}


def test_no_name_is_declared_by_two_systems() -> None:
    """A lamp apart, which two systems may light."""
    assert doubled(name for kind in ORDER for name in kind.events) == set()
    assert doubled(group.key for kind in ORDER for group in kind.groups) == set()
    assert doubled(chart.__name__ for kind in ORDER for chart in kind.charts) == set()
    for aircraft in ALL.values():
        systems = systems_of(aircraft)
        for names in (
            [one.name for system in systems for one in system.values],
            [one.name for system in systems for one in system.faults],
            [one.name for system in systems for one in system.commands],
            [one.name for system in systems for one in system.gauges],
            [one.name for system in systems for one in system.solenoids],
            [type(system.facts).__name__ for system in systems],
        ):
            assert doubled(names) == set()
        lamps = [name for system in systems for name in {one.name for one in system.lamps}]
        assert doubled(lamps) == {"handle_red"}


def test_a_switch_of_two_systems_is_one_handle() -> None:
    for kind in ORDER:
        for switch in kind.switches:
            assert SWITCHES[switch.name] is switch


@pytest.mark.parametrize("kind", ALL)
def test_the_switches_of_an_aircraft_are_among_those_of_the_classes(kind: str) -> None:
    for system in systems_of(ALL[kind]):
        if not isinstance(system, OwnSwitches):  # its switches are the aircraft file's
            assert set(system.switches) <= set(type(system).switches), type(system).__name__


@pytest.mark.parametrize("kind", ALL)
def test_every_signal_has_a_name_of_its_own(kind: str) -> None:
    """Lock switches and the pressure apart, which the feed gives and a system publishes."""
    aircraft = ALL[kind]
    systems = systems_of(aircraft)
    lamps = {lamp.name for system in systems for lamp in system.lamps}
    names = [*values_of(aircraft), *switches_of(aircraft), *lamps]
    names += [f"{lamp}_brightness" for lamp in lamps]
    names += ["horn", "horn_sounding", "fault_shown"]
    names += [one.name for system in systems_of(aircraft) for one in system.values]
    both = set()
    if aircraft.authority.legs == "feed":
        both |= {f"{leg}_{end}_lock" for leg in aircraft.leg_names for end in ("up", "down")}
    if aircraft.hydraulics is not None and aircraft.authority.hydraulics == "feed":
        both.add("hydraulic_pressure_psi")
    assert doubled(names) == both
    assert set(signals_of(values_of(aircraft), systems)) == set(names)


# -- plain data -----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", few_of(ALL))
def test_facts_and_memory_are_plain_data_after_a_whole_flight(kind: str) -> None:
    """Comparable, hashable, and equal to what comes out of a pickle."""
    for moves in ([], *runs_of(ALL[kind])):
        run = Run(ALL[kind]).play(moves)
        for system in run.logic._systems:
            for part in (system.facts, system.memory):
                copied = pickle.loads(pickle.dumps(part))
                assert copied == part
                assert hash(copied) == hash(part)
