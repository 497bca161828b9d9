"""Legs that are broken on the bench."""

from __future__ import annotations

import pytest

from panelbridge.errors import LogicError
from panelbridge.logic.legs import LegFault
from panelbridge.signals import LegState
from tests.logic.build import (
    BOTH_MADE,
    FREE,
    LOCKED_DOWN,
    Bench,
    fed_twin,
    flying_gear_down,
    flying_gear_up,
    switches,
    twin,
)

HUNG, CONTRADICTORY = LegFault.HUNG, LegFault.CONTRADICTORY


def nose(bench: Bench) -> tuple[LegState, float | None]:
    leg = bench.logic.view().legs[0]
    return leg.state, leg.travel_fraction


def test_a_hung_leg_unlocks_and_travels_and_never_locks() -> None:
    bench = flying_gear_up()
    bench.logic.set_fault(2.0, "nose", HUNG)
    bench.at(3.0, switches("down"))
    assert nose(bench)[0] is LegState.UNLOCKING_TO_EXTEND
    bench.at(6.5)
    assert nose(bench) == (LegState.EXTENDING, 0.5)
    bench.at(500.0)
    assert nose(bench) == (LegState.EXTENDING, 1.0)
    assert [leg.locks for leg in bench.logic.view().legs] == [FREE, LOCKED_DOWN, LOCKED_DOWN]
    assert (bench.result.outputs.lamps["nose_green"], bench.result.outputs.lamps["nose_red"]) == (
        0,
        255,
    )


def test_a_leg_that_is_freed_locks_when_it_has_arrived() -> None:
    late, early = flying_gear_up(), flying_gear_up()
    for bench in (late, early):
        bench.logic.set_fault(2.0, "nose", HUNG)
        bench.at(3.0, switches("down"))
    early.logic.set_fault(5.0, "nose", None)
    early.at(9.4)
    assert nose(early)[0] is LegState.EXTENDING
    early.at(9.5)
    assert nose(early) == (LegState.DOWN_LOCKED, 1.0)
    late.at(20.0)
    late.logic.set_fault(30.0, "nose", None)
    result = late.at(30.0)
    assert nose(late) == (LegState.DOWN_LOCKED, 1.0)
    assert [(h.time_s, h.name) for h in result.events] == [
        (30.0, "leg_locked_down"),
        (30.0, "gear_locked_down"),
    ]


def test_a_hung_leg_goes_back_when_it_is_asked_to_and_does_not_lock_there() -> None:
    bench = flying_gear_up()
    bench.logic.set_fault(2.0, "nose", HUNG)
    bench.at(3.0, switches("down"))
    bench.at(60.0, switches("up"))
    assert nose(bench) == (LegState.RETRACTING, 1.0)
    bench.at(63.5)
    assert nose(bench) == (LegState.RETRACTING, 0.5)
    bench.at(500.0)
    assert nose(bench) == (LegState.RETRACTING, 0.0)
    bench.logic.set_fault(501.0, "nose", None)
    assert nose(bench) == (LegState.UP_LOCKED, 0.0)


def test_a_leg_that_was_hung_before_the_gear_was_found_is_still_hung() -> None:
    found = flying_gear_up()
    bench = Bench(twin())
    bench.logic.set_fault(0.0, "nose", HUNG)
    bench.at(1.0, found.switches, found.aircraft)
    assert nose(bench)[0] is LegState.UP_LOCKED
    bench.at(2.0, switches("down"))
    bench.at(500.0)
    assert nose(bench)[0] is LegState.EXTENDING


def test_contradictory_lock_switches_count_as_not_locked() -> None:
    bench = flying_gear_down()
    bench.logic.set_fault(2.0, "nose", CONTRADICTORY)
    result = bench.at(2.0)
    assert bench.logic.view().legs[0].locks == BOTH_MADE
    assert bench.logic.view().faults == ("both lock switches of the nose leg are made",)
    assert (result.outputs.lamps["nose_green"], result.outputs.lamps["nose_red"]) == (0, 255)
    assert [h.name for h in result.events] == ["leg_locks_contradicted"]
    bench.logic.set_fault(3.0, "nose", None)
    result = bench.at(3.0)
    assert bench.logic.view().faults == ()
    assert result.outputs.lamps["nose_green"] == 255


def test_legs_of_the_feed_break_at_their_lock_switches() -> None:
    bench = flying_gear_down(fed_twin(), leg_locks=(LOCKED_DOWN,) * 3)
    for fault, locks in ((HUNG, FREE), (CONTRADICTORY, BOTH_MADE), (None, LOCKED_DOWN)):
        bench.logic.set_fault(bench.now_s, "left", fault)
        bench.at(bench.now_s + 1.0)
        assert [leg.locks for leg in bench.logic.view().legs] == [LOCKED_DOWN, locks, LOCKED_DOWN]


def test_a_fault_comes_after_the_timers_that_were_due_before_it() -> None:
    bench = flying_gear_up()
    bench.at(3.0, switches("down"))
    bench.logic.set_fault(60.0, "nose", HUNG)
    result = bench.at(60.0)
    assert nose(bench) == (LegState.DOWN_LOCKED, 1.0)
    assert (9.5, "leg_locked_down") in [(h.time_s, h.name) for h in result.events]


def test_no_such_leg_and_time_that_runs_backwards() -> None:
    bench = flying_gear_up()
    with pytest.raises(LogicError, match="no part 'tail'"):
        bench.logic.set_fault(2.0, "tail", HUNG)
    bench.at(5.0)
    with pytest.raises(LogicError, match="run backwards"):
        bench.logic.set_fault(4.0, "nose", HUNG)
