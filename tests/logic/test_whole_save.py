"""All state is plain data: a run that is saved anywhere goes on the same in a fresh logic.

What was saved goes through a pickle, as into a file, and into a logic that has never run. The same
further inputs then give the same outputs, commands, events, due times, values and reasons.
"""

from __future__ import annotations

import pickle
from copy import copy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, GearPosition, HandleContacts, SwitchState
from tests.examples import examples
from tests.logic.flight_story import STORY
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, Moves, Run, began, moves_of

ALL = {**KINDS, **{f"fed_{kind}": fed(kind) for kind in KINDS}}
TIGHT = settings(max_examples=examples(25), deadline=None)


def resumed(run: Run) -> Run:
    """The run with another logic, which has taken over what the first one saved."""
    other = copy(run)
    other.logic = PanelLogic(run.parameters)
    saved = run.logic.save()
    other.logic.restore(pickle.loads(pickle.dumps(saved)))
    assert other.logic.save() == saved
    other.events = []
    return other


def same(one: Run, two: Run) -> None:
    """All that can be seen of both, and all that they keep."""
    assert two.result == one.result
    assert two.events == one.events
    assert two.logic.next_due_s == one.logic.next_due_s
    assert two.logic.view() == one.logic.view()
    for name in (*one.lamp_names, "horn"):
        assert two.logic.reasons(name) == one.logic.reasons(name), name
    first, second = one.logic.world(), two.logic.world()
    shown = one.logic.view().values
    for signal in one.published:
        value = signal.read(first)
        assert signal.read(second) == value, signal.name
        assert shown.get(signal.name, value) == value, signal.name
    assert two.logic.save() == one.logic.save()


def go_on_the_same(aircraft: AircraftParameters, moves: Moves, saved_after: int) -> None:
    """Save after some of the moves, and play the rest with both."""
    first = Run(aircraft).play(moves[:saved_after])
    second = resumed(first)
    first.events = []
    same(first, second)
    for wait_s, move in [*moves[saved_after:], (100.0, Move())]:
        for run in (first, second):
            run.move(wait_s, move)
        same(first, second)


@pytest.mark.parametrize("kind", ALL)
@TIGHT
@given(data=st.data(), saved_after=st.integers(0, 18))
def test_saved_anywhere_it_goes_on_the_same(
    kind: str, data: st.DataObject, saved_after: int
) -> None:
    moves = data.draw(moves_of(ALL[kind], most=18))
    go_on_the_same(ALL[kind], moves, min(saved_after, len(moves)))


@pytest.mark.parametrize("saved_after", range(0, len(STORY), 5))
def test_the_flight_of_the_jet_goes_on_the_same(saved_after: int) -> None:
    moves = [
        (wait_s, Move(panel, aircraft, fault=fault)) for wait_s, panel, aircraft, fault in STORY
    ]
    go_on_the_same(KINDS["jet"], moves, saved_after)


@pytest.mark.parametrize("kind", ALL)
def test_saved_between_a_fault_and_its_step(kind: str) -> None:
    """What a fault made happen waits for the step."""
    run = began(ALL[kind], "parked")
    run.take(Move(fault=("left", "contradictory")))
    second = resumed(run)
    run.events = []
    assert run.step(run.now_s) == second.step(run.now_s)
    same(run, second)


def test_what_was_saved_stays_as_it_was_and_can_be_put_back_into_the_same_logic() -> None:
    run = began(KINDS["jet"], "gear up")
    saved = run.logic.save()
    kept = pickle.dumps(saved)
    before, now_s = run.result, run.now_s
    panel = run.panel
    run.move(1.0, Move({"gear_handle": HandleContacts.DOWN}))
    run.wait(5.0)
    assert pickle.dumps(saved) == kept
    assert run.logic.save() != saved
    run.logic.restore(saved)
    assert run.logic.save() == saved
    back = run.logic.step(now_s, panel, run.state)
    assert (back.outputs, back.commands) == (before.outputs, before.commands)
    moved = run.logic.step(now_s, run.panel, run.state)
    assert moved.commands.gear is GearPosition.DOWN


def test_a_logic_that_has_not_run_can_be_saved() -> None:
    saved = PanelLogic(KINDS["jet"]).save()
    other = PanelLogic(KINDS["jet"])
    other.step(0.0, SwitchState(night=True), AircraftState(bus_powered=False))
    other.restore(pickle.loads(pickle.dumps(saved)))
    assert other.save() == saved
    inputs = (5.0, SwitchState(lamp_test=True), AircraftState(bus_powered=True))
    result = other.step(*inputs)
    assert result == PanelLogic(KINDS["jet"]).step(*inputs)
    assert set(result.outputs.lamps.values()) == {255}
