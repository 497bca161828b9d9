"""What the lock switches say, with the feed as their authority."""

from __future__ import annotations

import pytest

from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_locks import GearLocks, told_leg
from panelbridge.signals import AircraftState, LegLocks, LegState
from tests.logic.build import (
    BOTH_MADE,
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    switches,
)

HALF_KNOWN = LegLocks(up_locked=False, down_locked=None)


def fed(*locks: LegLocks) -> Bench:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=locks))
    return bench


def feed(bench: Bench, *locks: LegLocks) -> None:
    bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=locks))


def test_found_locked_is_told_to_nobody() -> None:
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert bench.names == []
    assert bench.all_locked_down
    assert len(bench.greens) == 3


def test_the_feed_moves_the_legs_and_the_model_does_not() -> None:
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    bench.after(1.0, switches("up"))
    bench.after(60.0)
    assert bench.all_locked_down
    assert bench.command == "up"
    feed(bench, FREE, LOCKED_DOWN, FREE)
    feed(bench, LOCKED_UP, LOCKED_UP, FREE)
    feed(bench, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert bench.told[2:] == [
        (62.0, "leg_unlocked", "nose"),
        (62.0, "leg_unlocked", "right"),
        (63.0, "leg_locked_up", "nose"),
        (63.0, "leg_locked_up", "left"),
        (64.0, "leg_locked_up", "right"),
        (64.0, "gear_locked_up", ""),
    ]
    feed(bench, FREE, FREE, FREE)
    feed(bench, LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert bench.names[-4:] == ["leg_locked_down"] * 3 + ["gear_locked_down"]


def test_lost_and_found_elsewhere_is_quiet() -> None:
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(bench, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN)
    assert bench.greens == set()
    assert len(bench.reds) == 3
    assert set(bench.leg_states) == {LegState.UNKNOWN}
    feed(bench, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert bench.all_locked_up
    assert bench.names == []


def test_one_leg_lost_and_found_leaves_the_gear_s_end_untold() -> None:
    bench = fed(LOCKED_UP, LOCKED_UP, FREE)
    feed(bench, LOCKED_UP, NOT_KNOWN, FREE)
    feed(bench, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert bench.names == ["leg_locked_up"], "the right one; the left one was found"


def test_contradictory_switches_are_a_fault_and_no_lock() -> None:
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(bench, LOCKED_DOWN, BOTH_MADE, LOCKED_DOWN)
    assert bench.told[-1] == (1.0, "leg_locks_contradicted", "left")
    assert "left" in bench.events[-1].text
    assert bench.greens == {"nose", "right"}
    assert bench.reds == {"left"}
    view = bench.logic.view()
    assert view.faults == ("both lock switches of the left leg are made",)
    assert view.legs[1].state is LegState.UNKNOWN
    assert view.legs[1].travel_fraction is None
    feed(bench, LOCKED_DOWN, BOTH_MADE, FREE)
    assert bench.names.count("leg_locks_contradicted") == 1
    feed(bench, LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert bench.logic.view().faults == ()


def test_leaving_a_lock_into_a_contradiction_is_no_unlocking() -> None:
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(bench, BOTH_MADE, BOTH_MADE, BOTH_MADE)
    assert bench.names == ["leg_locks_contradicted"] * 3


def test_missing_legs_are_unknown_and_surplus_ones_are_not_read() -> None:
    bench = fed(LOCKED_DOWN)
    assert bench.greens == {"nose"}
    assert bench.reds == {"left", "right"}
    bench = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN, FREE)
    assert len(bench.greens) == 3


def test_the_model_does_not_look_at_the_feed_s_legs() -> None:
    bench = Bench()
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(FREE, FREE, FREE)))
    assert bench.all_locked_down
    assert len(bench.greens) == 3


def test_the_feed_s_legs_are_unknown_before_the_first_word() -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), AircraftState())
    assert set(bench.leg_states) == {LegState.UNKNOWN}
    assert bench.greens == set()
    assert len(bench.reds) == 3


@pytest.mark.parametrize(
    ("locks", "demand", "state", "travel"),
    [
        (LOCKED_DOWN, UP, LegState.DOWN_LOCKED, 1.0),
        (LOCKED_UP, DOWN, LegState.UP_LOCKED, 0.0),
        (FREE, DOWN, LegState.EXTENDING, None),
        (FREE, UP, LegState.RETRACTING, None),
        (NOT_KNOWN, UP, LegState.UNKNOWN, None),
        (HALF_KNOWN, UP, LegState.UNKNOWN, None),
        (LegLocks(up_locked=None, down_locked=True), DOWN, LegState.UNKNOWN, None),
        (BOTH_MADE, DOWN, LegState.UNKNOWN, None),
    ],
)
def test_what_the_locks_tell_of_a_leg(
    locks: LegLocks, demand: object, state: LegState, travel: float | None
) -> None:
    assert told_leg(locks, UP if demand is UP else DOWN) == (state, travel)


def test_half_known_locks_are_neither_down_nor_up() -> None:
    locks = GearLocks(("nose",), EventLog())
    locks.take(0.0, (LegLocks(up_locked=None, down_locked=True),))
    assert not locks.all_down
    locks.take(0.0, (LegLocks(up_locked=True, down_locked=None),))
    assert not locks.all_up
