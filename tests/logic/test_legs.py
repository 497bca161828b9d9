"""The legs of our own model."""

from __future__ import annotations

from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.gear.movement import LegFaults, Movement
from panelbridge.logic.gear.parameters import GearOrderParameters, LegParameters
from panelbridge.signals import GearPosition, LegLocks, LegState
from tests.logic.gear_rig import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    NAMES,
    UP,
    Notes,
    found_flying,
    twin_legs,
)


class Legs:
    """Legs that nothing hinders, from due time to due time; notes each leg's states."""

    def __init__(
        self, parameters: list[LegParameters] | None = None, *, found: GearPosition = DOWN
    ) -> None:
        self.movement = Movement(parameters or twin_legs(), GearOrderParameters())
        self.moved = self.movement.found(found)
        count = len(self.moved.legs)
        self.faults = LegFaults((None,) * count, (False,) * count)
        self.states: list[list[LegState]] = [[leg.state] for leg in self.moved.legs]
        self.times: list[tuple[float, int, str]] = []
        self.demand = found

    def at(self, now_s: float, demand: GearPosition | None = None) -> None:
        while (due_s := self.moved.due_s) <= now_s:
            self.moved = self.movement.came_due(due_s, self.moved, self.faults, Notes())
            self._drive(due_s)
        if demand is not None:
            self.demand = demand
            self._drive(now_s)

    def _drive(self, now_s: float) -> None:
        self.moved = self.movement.drive(now_s, self.moved, self.demand, self.faults)
        for number, leg in enumerate(self.moved.legs):
            if leg.state is not self.states[number][-1]:
                self.states[number].append(leg.state)
                self.times.append((round(now_s, 6), number, leg.state.value))

    def travels(self, now_s: float) -> list[float]:
        return [leg.travel.at(now_s) for leg in self.moved.legs]

    @property
    def locks(self) -> tuple[LegLocks, ...]:
        return self.moved.locks(self.faults)


def test_every_leg_takes_its_own_times() -> None:
    gear = Legs()
    gear.at(10.0, UP)
    gear.at(100.0)
    gear.at(200.0, DOWN)
    gear.at(300.0)
    assert gear.times == [
        *((10.0, leg, "unlocking_to_retract") for leg in range(3)),
        (10.5, 0, "retracting"),
        (10.6, 1, "retracting"),
        (10.7, 2, "retracting"),
        (17.5, 0, "up_locked"),
        (18.1, 1, "up_locked"),
        (18.7, 2, "up_locked"),
        *((200.0, leg, "unlocking_to_extend") for leg in range(3)),
        (200.5, 0, "extending"),
        (200.6, 1, "extending"),
        (200.7, 2, "extending"),
        (206.5, 0, "down_locked"),
        (207.1, 1, "down_locked"),
        (207.5, 2, "down_locked"),
    ]


def test_the_lock_switches_stay_made_until_the_lock_has_opened() -> None:
    gear = Legs()
    gear.at(0.0, UP)
    assert gear.locks == (LOCKED_DOWN,) * 3
    gear.at(0.55)
    assert gear.locks == (FREE, LOCKED_DOWN, LOCKED_DOWN)
    gear.at(7.6)
    assert gear.locks == (LOCKED_UP, FREE, FREE)
    gear.at(20.0, DOWN)
    assert gear.locks == (LOCKED_UP,) * 3


def test_travel_goes_evenly_from_one_to_nought_and_back() -> None:
    gear = Legs()
    assert gear.travels(0.0) == [1.0] * 3
    gear.at(0.0, UP)
    assert gear.travels(0.4) == [1.0] * 3, "unlocking is no travel"
    gear.at(4.0)
    assert gear.travels(4.0) == pytest.approx([0.5, 1 - 3.4 / 7.5, 1 - 3.3 / 8.0])
    gear.at(30.0)
    assert gear.travels(30.0) == [0.0] * 3
    gear.at(30.0, DOWN)
    gear.at(32.0)
    assert gear.travels(32.0) == pytest.approx([1.5 / 6.0, 1.4 / 6.5, 1.3 / 6.8])


@pytest.mark.parametrize("moved_s", [0.7, 1.75, 3.5, 6.3])
def test_a_reversal_takes_the_way_that_is_left(moved_s: float) -> None:
    """Turned round after a part of the way up, the way down is as long as that part."""
    gear = Legs([LegParameters(name="nose", unlock_s=0.5, extend_s=6.0, retract_s=7.0)])
    gear.at(0.0, UP)
    gear.at(0.5 + moved_s, DOWN)
    assert gear.travels(0.5 + moved_s) == pytest.approx([1.0 - moved_s / 7.0])
    gear.at(60.0)
    arrived_s = round(0.5 + moved_s + 6.0 * moved_s / 7.0, 6)
    assert gear.times[-1] == (arrived_s, 0, "down_locked")


def test_reversals_one_after_the_other_add_up() -> None:
    gear = Legs([LegParameters(name="nose", unlock_s=0.0, extend_s=10.0, retract_s=10.0)])
    gear.at(0.0, UP)
    gear.at(6.0, DOWN)  # at 0.4
    gear.at(8.0, UP)  # at 0.6
    assert gear.travels(8.0) == pytest.approx([0.6])
    gear.at(9.0, DOWN)  # at 0.5
    gear.at(20.0)
    assert gear.times[-1] == (14.0, 0, "down_locked")
    assert gear.travels(20.0) == [1.0]


def test_turned_round_while_unlocking_the_lock_closes_again() -> None:
    gear = Legs()
    gear.at(0.0, UP)
    gear.at(0.3, DOWN)
    assert gear.moved.due_s == inf
    gear.at(60.0)
    assert gear.states == [["down_locked", "unlocking_to_retract", "down_locked"]] * 3
    gear.at(100.0, UP)
    gear.at(160.0, DOWN)
    gear.at(160.4, UP)
    gear.at(200.0)
    assert [states[-2:] for states in gear.states] == [["unlocking_to_extend", "up_locked"]] * 3


def test_asked_again_for_the_same_nothing_happens() -> None:
    gear = Legs()
    gear.at(0.0, DOWN)
    assert gear.times == []
    gear.at(1.0, UP)
    gear.at(4.0, UP)
    gear.at(60.0)
    assert (8.5, 0, "up_locked") in gear.times


def test_an_hour_of_nothing_moves_nothing() -> None:
    gear = Legs()
    gear.at(3600.0)
    assert gear.locks == (LOCKED_DOWN,) * 3


def test_placing_puts_every_leg_into_the_lock_and_asks_nothing() -> None:
    gear = Legs(found=UP)
    assert gear.locks == (LOCKED_UP,) * 3
    assert gear.travels(0.0) == [0.0] * 3
    gear.at(1.0, UP)
    assert gear.moved.due_s == inf
    gear.at(2.0, DOWN)
    gear.at(60.0)
    assert gear.locks == (LOCKED_DOWN,) * 3


def test_a_placed_gear_goes_the_other_way_at_the_first_asking() -> None:
    gear = Legs(found=UP)
    gear.at(1.0, DOWN)
    gear.at(60.0)
    assert gear.locks == (LOCKED_DOWN,) * 3


ASKED = st.lists(
    st.tuples(st.floats(0.001, 12.0), st.sampled_from([UP, DOWN])), min_size=1, max_size=30
)


@given(asked=ASKED)
def test_law_no_leg_goes_from_lock_to_lock_without_travelling(
    asked: list[tuple[float, GearPosition]],
) -> None:
    gear = Legs()
    now_s = 0.0
    for gap_s, demand in asked:
        before_s, now_s = now_s, now_s + gap_s
        for part in range(1, 5):
            when = before_s + gap_s * part / 4
            gear.at(when, demand if part == 4 else None)
            assert not any(locks.contradictory for locks in gear.locks)
    gear.at(now_s + 100.0)
    locked = {LegState.UP_LOCKED, LegState.DOWN_LOCKED}
    for states in gear.states:
        for earlier, later in pairwise(states):
            assert not {earlier, later} <= locked, states
        for number, state in enumerate(states[1:], start=1):
            if state is LegState.UP_LOCKED:
                assert states[number - 1] in {LegState.RETRACTING, LegState.UNLOCKING_TO_EXTEND}
            if state is LegState.DOWN_LOCKED:
                assert states[number - 1] in {LegState.EXTENDING, LegState.UNLOCKING_TO_RETRACT}
    wanted = LOCKED_DOWN if asked[-1][1] is DOWN else LOCKED_UP
    assert gear.locks == (wanted,) * 3, "in the end every leg is where it was asked to be"


@given(asked=ASKED)
def test_law_a_leg_never_jumps(asked: list[tuple[float, GearPosition]]) -> None:
    """Its travel is steady: never faster than its speed, reversals included."""
    gear = Legs()
    fastest = [1 / min(leg.extend_s, leg.retract_s) for leg in twin_legs()]
    now_s, before = 0.0, gear.travels(0.0)
    for gap_s, demand in asked:
        steps = max(1, int(gap_s / 0.25))
        for step in range(steps):
            now_s += gap_s / steps
            gear.at(now_s, demand if step == steps - 1 else None)
            after = gear.travels(now_s)
            for number in range(3):
                moved = abs(after[number] - before[number])
                assert moved <= fastest[number] * gap_s / steps + 1e-9
                assert 0.0 <= after[number] <= 1.0
            before = after


# -- with the gear ------------------------------------------------------------------------------


def test_each_leg_reports_its_own_events_and_the_gear_the_end() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    rig.at(60.0)
    assert rig.logged == [
        (2.0, "gear_handle_moved_up", ""),
        (2.0, "gear_up_commanded", ""),
        (2.5, "leg_unlocked", "nose"),
        (2.6, "leg_unlocked", "left"),
        (2.7, "leg_unlocked", "right"),
        (9.5, "leg_locked_up", "nose"),
        (10.1, "leg_locked_up", "left"),
        (10.7, "leg_locked_up", "right"),
        (10.7, "gear_locked_up", ""),
    ]


def test_the_lamps_follow_every_leg() -> None:
    rig = found_flying(UP)
    assert rig.lit == set()
    rig.at(2.0, handle="down")
    rig.at(2.65)
    assert rig.reds == {"nose", "left"}
    rig.at(8.9)
    assert (rig.greens, rig.reds) == ({"nose"}, {"left", "right"})
    rig.at(9.2)
    assert (rig.greens, rig.reds) == ({"nose", "left"}, {"right"})
    rig.at(9.6)
    assert (rig.greens, rig.reds) == (set(NAMES), set())
    assert not rig.handle_red
    legs = rig.view["legs"]
    assert [leg.name for leg in legs] == list(NAMES)
    assert [leg.travel_fraction for leg in legs] == [1.0] * 3


def test_lamps_are_declared_greens_first() -> None:
    lamps = found_flying(UP).gear.lamps
    assert [(lamp.name, lamp.label, lamp.required) for lamp in lamps] == [
        *[(f"{name}_green", f"{name} leg locked down", True) for name in NAMES],
        *[(f"{name}_red", f"{name} leg not locked", True) for name in NAMES],
        ("handle_red", "gear handle light", False),
    ]
