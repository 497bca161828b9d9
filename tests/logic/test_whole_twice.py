"""Two runs of a whole aircraft that differ in one thing: what may differ, and what may not."""

from __future__ import annotations

from math import isnan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.signals import AircraftState, LegView, StepResult, SwitchState
from tests.examples import examples
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, Run, moves_of

ALL = {**KINDS, "fed_jet": fed("jet")}
TIGHT = settings(max_examples=examples(25), deadline=None)
STEERED = ("jet", "piston", "turboprop", "fed_jet")


# -- steering -------------------------------------------------------------------------------------


class Pair:
    """A run and its twin, one of whose inputs differs."""

    def __init__(self, kind: str) -> None:
        self.one, self.two = Run(ALL[kind]), Run(ALL[kind])
        self.trace: list[tuple[StepResult, StepResult]] = []
        self.legs: list[tuple[tuple[LegView, ...], tuple[LegView, ...]]] = []

    def both(self) -> None:
        self.trace.append((self.one.result, self.two.result))
        self.legs.append((self.one.view.legs, self.two.view.legs))

    def wait(self, wait_s: float) -> None:
        """Let time go by for both, with steps when either wants one."""
        end_s = self.one.now_s + wait_s
        while (due_s := min(self.one.logic.next_due_s, self.two.logic.next_due_s)) < end_s:
            self.one.step(due_s)
            self.two.step(due_s)
            self.both()
        if wait_s:
            self.one.step(end_s)
            self.two.step(end_s)
            self.both()


def faster(state: AircraftState, by_kt: float) -> AircraftState:
    """The same with higher speeds, as far as they are known."""
    speeds = (state.ground_speed_kt, state.airspeed_kias)
    ground, air = (None if s is None or isnan(s) else s + by_kt for s in speeds)
    if ground is None and air is None:
        return state
    return replace(state, ground_speed_kt=ground, airspeed_kias=air)


@pytest.mark.parametrize("kind", STEERED)
@TIGHT
@given(data=st.data(), by_kt=st.sampled_from([0.5, 7.0, 24.0, 300.0]))
def test_a_higher_speed_never_steers_by_more(kind: str, data: st.DataObject, by_kt: float) -> None:
    """D-12: the angle that the speed allows never grows with the speed."""
    pair = Pair(kind)
    steers = st.fixed_dictionaries(
        {
            "steering_button": st.sampled_from([True, True, False]),
            "tiller": st.sampled_from([0.0, 0.9, 1.0]),
        }
    )
    for wait_s, move in data.draw(moves_of(ALL[kind], leave=["airspeed_kias"])):
        pair.wait(wait_s)
        for run in (pair.one, pair.two):
            run.take(move)
        pair.two.state = faster(pair.one.state, by_kt)
        for held in data.draw(st.lists(steers, min_size=1, max_size=2)):
            for run in (pair.one, pair.two):
                run.take(Move(held))
        for run in (pair.one, pair.two):
            run.step(run.now_s)
        pair.both()
    for one, two in pair.trace:
        assert abs(two.commands.steering_deg) <= abs(one.commands.steering_deg)
        assert two.commands.steering_engaged is one.commands.steering_engaged


def steering_apart(name: str) -> bool:
    return not name.startswith("steering")


@pytest.mark.parametrize("kind", STEERED)
@TIGHT
@given(data=st.data())
def test_steering_never_moves_the_gear(kind: str, data: st.DataObject) -> None:
    """D-10: 23.745(b), Amdt 23-49: steering must not interfere with retraction or extension."""
    pair, parts = Pair(kind), ("steering_button", "second_steering_button", "tiller")
    leave = (*parts, "steering_pedal_fraction")
    wheel = st.fixed_dictionaries(
        {
            "steering_button": st.booleans(),
            "second_steering_button": st.booleans(),
            "tiller": st.sampled_from([None, 0.0, 0.3, 1.0]),
        }
    )
    pedals = st.sampled_from([None, -1.0, 0.5, 1.0])
    for wait_s, move in data.draw(moves_of(ALL[kind], leave=leave)):
        pair.wait(wait_s)
        pair.one.take(move)
        pair.two.take(move)
        pair.two.take(Move(data.draw(wheel), {"steering_pedal_fraction": data.draw(pedals)}))
        for run in (pair.one, pair.two):
            run.step(run.now_s)
        pair.both()
    for one, two in pair.legs:
        assert one == two
    for first, second in pair.trace:
        lamps = [
            {name: level for name, level in result.outputs.lamps.items() if steering_apart(name)}
            for result in (first, second)
        ]
        assert lamps[0] == lamps[1]
        assert first.outputs.horn is second.outputs.horn
        assert first.commands.gear is second.commands.gear
        assert first.commands.brake_fraction == second.commands.brake_fraction
    reported = [[h for h in run.logged if steering_apart(h[1])] for run in (pair.one, pair.two)]
    assert reported[0] == reported[1]


# -- the order of what comes together -------------------------------------------------------------


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data())
def test_two_panels_do_not_know_of_each_other(kind: str, data: st.DataObject) -> None:
    """The same inputs give the same, though another panel of the same aircraft runs beside it."""
    moves = data.draw(moves_of(ALL[kind], most=12))
    alone = Run(ALL[kind]).play(moves)
    beside, other = Run(ALL[kind]), Run(ALL[kind])
    for wait_s, move in moves:
        beside.move(wait_s, move)
        other.logic.step(beside.now_s, SwitchState(night=True), AircraftState(flap_deg=30.0))
    assert beside.logged == alone.logged
    assert beside.result == alone.result
    assert beside.view == alone.view
