"""What the lock switches say, with the feed as their authority."""

from __future__ import annotations

import pytest

from panelbridge.logic.gear.locks import GearLocks, fed_leg
from panelbridge.signals import LegLocks, LegState
from tests.logic.gear_rig import (
    BOTH_MADE,
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NOT_KNOWN,
    UP,
    Notes,
    Rig,
    panel,
)

HALF_KNOWN = LegLocks(up_locked=False, down_locked=None)


def fed(*locks: LegLocks | None) -> Rig:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down", strut=False, simulator=DOWN, locks=locks)
    return rig


def feed(rig: Rig, *locks: LegLocks) -> None:
    rig.after(1.0, locks=locks)


def test_found_locked_is_not_an_event() -> None:
    rig = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert rig.names == []
    assert rig.all_down
    assert len(rig.greens) == 3


def test_the_feed_moves_the_legs_and_the_model_does_not() -> None:
    rig = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    rig.after(1.0, handle="up")
    rig.after(60.0)
    assert rig.all_down
    assert rig.command == "up"
    feed(rig, FREE, LOCKED_DOWN, FREE)
    feed(rig, LOCKED_UP, LOCKED_UP, FREE)
    feed(rig, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert rig.logged[2:] == [
        (62.0, "leg_unlocked", "nose"),
        (62.0, "leg_unlocked", "right"),
        (63.0, "leg_locked_up", "nose"),
        (63.0, "leg_locked_up", "left"),
        (64.0, "leg_locked_up", "right"),
        (64.0, "gear_locked_up", ""),
    ]
    feed(rig, FREE, FREE, FREE)
    feed(rig, LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert rig.names[-4:] == ["leg_locked_down"] * 3 + ["gear_locked_down"]


def test_lost_and_found_elsewhere_is_quiet() -> None:
    rig = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(rig, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN)
    assert rig.greens == set()
    assert len(rig.reds) == 3
    assert set(rig.leg_states) == {"unknown"}
    feed(rig, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert rig.all_up
    assert rig.names == []


def test_one_leg_lost_and_found_leaves_the_gear_s_end_untold() -> None:
    rig = fed(LOCKED_UP, LOCKED_UP, FREE)
    feed(rig, LOCKED_UP, NOT_KNOWN, FREE)
    feed(rig, LOCKED_UP, LOCKED_UP, LOCKED_UP)
    assert rig.names == ["leg_locked_up"], "the right one; the left one was found"


def test_contradictory_switches_are_a_fault_and_no_lock() -> None:
    rig = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(rig, LOCKED_DOWN, BOTH_MADE, LOCKED_DOWN)
    assert rig.logged[-1] == (1.0, "leg_locks_contradicted", "left")
    assert "left" in rig.events[-1].text
    assert rig.greens == {"nose", "right"}
    assert rig.reds == {"left"}
    assert rig.gear.failures() == ("both lock switches of the left leg are made",)
    legs = rig.view["legs"]
    assert legs[1].state is LegState.UNKNOWN
    assert legs[1].travel_fraction is None
    assert (rig.value("left_leg"), rig.value("left_travel"), rig.value("gear")) == (None,) * 3
    feed(rig, LOCKED_DOWN, BOTH_MADE, FREE)
    assert rig.names.count("leg_locks_contradicted") == 1
    feed(rig, LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    assert rig.gear.failures() == ()


def test_leaving_a_lock_into_a_contradiction_is_no_unlocking() -> None:
    rig = fed(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN)
    feed(rig, BOTH_MADE, BOTH_MADE, BOTH_MADE)
    assert rig.names == ["leg_locks_contradicted"] * 3


def test_missing_legs_are_unknown() -> None:
    rig = fed(LOCKED_DOWN, None, None)
    assert rig.greens == {"nose"}
    assert rig.reds == {"left", "right"}


def test_the_model_does_not_look_at_the_feed_s_legs() -> None:
    rig = panel()
    rig.at(0.0, handle="down", strut=False, simulator=DOWN, locks=(FREE, FREE, FREE))
    assert rig.all_down
    assert len(rig.greens) == 3


def test_the_feed_s_legs_are_unknown_before_the_first_word() -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down")
    assert set(rig.leg_states) == {"unknown"}
    assert rig.greens == set()
    assert len(rig.reds) == 3


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
    leg = fed_leg(locks, UP if demand is UP else DOWN)
    assert (leg.state, leg.travel and leg.travel.at(0.0)) == (state, travel)
    assert leg.locks == locks


def test_half_known_locks_are_neither_down_nor_up() -> None:
    half_down, half_up = LegLocks(None, down_locked=True), LegLocks(up_locked=True)
    locks = GearLocks.unknown(1).take(0.0, ("nose",), (half_down,), (False,), Notes())
    assert not locks.all_down
    locks = locks.take(0.0, ("nose",), (half_up,), (False,), Notes())
    assert not locks.all_up
