"""Legs that are broken on the bench."""

from __future__ import annotations

import pytest

from panelbridge.errors import LogicError
from panelbridge.logic.gear.legs import LegFault
from panelbridge.signals import LegState
from tests.logic.build import flying_gear_up
from tests.logic.gear_rig import (
    BOTH_MADE,
    DOWN,
    FREE,
    LOCKED_DOWN,
    UP,
    Rig,
    found_flying,
    panel,
)

HUNG, CONTRADICTORY = LegFault.HUNG, LegFault.CONTRADICTORY


def nose(rig: Rig) -> tuple[LegState, float | None]:
    leg = rig.view["legs"][0]
    return leg.state, leg.travel_fraction


def test_a_hung_leg_unlocks_and_travels_and_never_locks() -> None:
    rig = found_flying(UP).fault("nose", HUNG)
    rig.at(3.0, handle="down")
    assert nose(rig)[0] is LegState.UNLOCKING_TO_EXTEND
    rig.at(6.5)
    assert nose(rig) == (LegState.EXTENDING, 0.5)
    rig.at(500.0)
    assert nose(rig) == (LegState.EXTENDING, 1.0)
    assert rig.locks == [FREE, LOCKED_DOWN, LOCKED_DOWN]
    assert "nose_green" not in rig.lit
    assert "nose_red" in rig.lit


def test_a_leg_that_is_freed_locks_when_it_has_arrived() -> None:
    late, early = found_flying(UP), found_flying(UP)
    for rig in (late, early):
        rig.fault("nose", HUNG).at(3.0, handle="down")
    early.at(5.0).fault("nose", None)
    early.at(9.4)
    assert nose(early)[0] is LegState.EXTENDING
    early.at(9.5)
    assert nose(early) == (LegState.DOWN_LOCKED, 1.0)
    late.at(30.0)
    late.events.clear()
    late.fault("nose", None)
    assert nose(late) == (LegState.DOWN_LOCKED, 1.0)
    assert [(one.time_s, one.name) for one in late.events] == [
        (30.0, "leg_locked_down"),
        (30.0, "gear_locked_down"),
    ]


def test_a_hung_leg_goes_back_when_it_is_asked_to_and_does_not_lock_there() -> None:
    rig = found_flying(UP).fault("nose", HUNG)
    rig.at(3.0, handle="down")
    rig.at(60.0, handle="up")
    assert nose(rig) == (LegState.RETRACTING, 1.0)
    rig.at(63.5)
    assert nose(rig) == (LegState.RETRACTING, 0.5)
    rig.at(500.0)
    assert nose(rig) == (LegState.RETRACTING, 0.0)
    rig.at(501.0).fault("nose", None)
    assert nose(rig) == (LegState.UP_LOCKED, 0.0)


def test_a_hung_leg_that_has_arrived_stands_still() -> None:
    rig = found_flying(UP).fault("nose", HUNG)
    (info,) = (info for info in rig.gear.values if info.name == "nose_travel")
    assert info.curve is not None
    rig.at(3.0, handle="down").at(6.5)
    curve = info.curve(rig.loop.world(6.5))
    assert curve is not None
    assert curve.reaches(0.75, 6.5) == 8.0
    rig.at(60.0)
    assert info.curve(rig.loop.world(60.0)) is None


def test_a_leg_that_was_hung_before_the_gear_was_found_is_still_hung() -> None:
    rig = panel().fault("nose", HUNG)
    rig.at(1.0, handle="up", strut=False, simulator=UP)
    assert nose(rig)[0] is LegState.UP_LOCKED
    rig.at(2.0, handle="down")
    rig.at(500.0)
    assert nose(rig)[0] is LegState.EXTENDING


def test_contradictory_lock_switches_count_as_not_locked() -> None:
    rig = found_flying(DOWN).at(2.0).fault("nose", CONTRADICTORY)
    assert rig.locks[0] == BOTH_MADE
    assert rig.gear.failures() == ("both lock switches of the nose leg are made",)
    assert "nose_green" not in rig.lit
    assert "nose_red" in rig.lit
    assert rig.names == ["leg_locks_contradicted"]
    rig.at(3.0).fault("nose", None)
    assert rig.gear.failures() == ()
    assert "nose_green" in rig.lit


def test_legs_of_the_feed_break_at_their_lock_switches() -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down", strut=False, simulator=DOWN, locks=LOCKED_DOWN)
    for fault, locks in ((HUNG, FREE), (CONTRADICTORY, BOTH_MADE), (None, LOCKED_DOWN)):
        rig.fault("left", fault)
        rig.after(1.0)
        assert rig.locks == [LOCKED_DOWN, locks, LOCKED_DOWN]


def test_a_fault_comes_after_what_came_due_before_it() -> None:
    rig = found_flying(UP).at(3.0, handle="down").at(9.5)
    rig.fault("nose", HUNG)
    assert nose(rig) == (LegState.DOWN_LOCKED, 1.0)
    assert (9.5, "leg_locked_down", "nose") in rig.logged
    rig = found_flying(UP).at(3.0, handle="down").at(9.4999).fault("nose", HUNG).at(60.0)
    assert nose(rig) == (LegState.EXTENDING, 1.0)


def test_no_such_leg_and_time_that_runs_backwards() -> None:
    bench = flying_gear_up()
    with pytest.raises(LogicError, match="no fault target is named 'tail'"):
        bench.logic.set_fault(2.0, "tail", HUNG)
    with pytest.raises(LogicError, match="'nose' cannot be 'jammed'"):
        bench.logic.set_fault(2.0, "nose", "jammed")
    bench.at(5.0)
    with pytest.raises(LogicError, match="run backwards"):
        bench.logic.set_fault(4.0, "nose", HUNG)
