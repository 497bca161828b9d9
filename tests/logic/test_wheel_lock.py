"""The lock of a tail wheel or nose wheel: one push locks it, the next unlocks it.

Common practice, no source. What is conserved: the state of the pin. Only pushes of its button
change it, and each that is not refused turns it round: after n of them from unlocked it is locked
when n is odd. Limits: the pin is in or out; nothing else.

By hand: pushes at 1, 2 and 3 s from unlocked: locked, unlocked, locked. The same with the board
lost from 3.5 to 9 s: locked all the time. Held from 1 to 60 s: locked once. Found pressed at 0 s,
released at 5 s, pushed at 6 s: locked from 6 s on.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.inventory import events_of, lamps_of, switches_of, vocabulary_of
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.systems import misfits_of
from panelbridge.logic.wheel_lock.parameters import WheelLockParameters
from panelbridge.logic.wheel_lock.system import WheelLock
from panelbridge.signals import AircraftState, Event, Level
from tests.logic.build import DOWN, ground, switches, twin
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Stage


def stage(*, steered: bool = True, **numbers: Any) -> Stage[WheelLock]:
    system = WheelLock(WheelLockParameters(leg="nose", **numbers), steered=steered)
    return Stage(system, {"engaged": (SteeringFacts, "is_engaged")})


def push(lock: Stage[WheelLock]) -> Stage[WheelLock]:
    lock.after(0.5, wheel_lock=True)
    lock.after(0.5, wheel_lock=False)
    return lock


def shows(lock: Stage[WheelLock]) -> tuple[bool, Any, Any]:
    """Lamp, word and command."""
    lock.hold()
    (command,) = lock.system.commands
    world = lock.loop.world(lock.now_s)
    return lock.lit == {"wheel_lock_green"}, lock.value("wheel_lock_state"), command.read(world)


def test_each_push_turns_it_round() -> None:
    lock = stage()
    lock.at(0.5, wheel_lock=False)
    assert shows(lock) == (False, "unlocked", None), "nothing is asked before the first push"
    assert shows(push(lock)) == (True, "locked", True)
    assert shows(push(lock)) == (False, "unlocked", False)
    assert shows(push(lock)) == (True, "locked", True)
    names = [name for _, name, _ in lock.logged]
    assert names == ["wheel_locked", "wheel_unlocked", "wheel_locked"]


def test_held_it_counts_once_and_lost_it_keeps_its_state() -> None:
    lock = stage()
    lock.at(0.5, wheel_lock=False)
    lock.at(1.0, wheel_lock=True)
    lock.at(60.0)
    assert shows(lock) == (True, "locked", True)
    lock.at(61.0, wheel_lock=None)
    assert shows(lock) == (True, "locked", True)
    lock.at(70.0, wheel_lock=True)
    assert shows(lock)[1] == "locked", "back and still held: it was not pushed now"
    lock.at(71.0, wheel_lock=False)
    assert shows(push(lock))[1] == "unlocked"


def test_start_up_is_no_push() -> None:
    lock = stage()
    lock.at(0.0, wheel_lock=True)
    lock.at(5.0, wheel_lock=False)
    assert shows(lock) == (False, "unlocked", None)
    lock.at(6.0, wheel_lock=True)
    assert shows(lock) == (True, "locked", True)
    found = stage(locked_at_start=True)
    found.at(0.5, wheel_lock=False)
    assert shows(found) == (True, "locked", None)
    assert shows(push(found)) == (False, "unlocked", False)


def test_a_wheel_that_is_steered_now_is_not_locked() -> None:
    lock = stage()
    lock.at(0.5, wheel_lock=False, engaged=True)
    assert shows(push(lock)) == (False, "unlocked", None)
    assert lock.logged[-1][1] == "wheel_lock_refused"
    lock.after(1.0, engaged=False)
    assert shows(lock)[1] == "unlocked", "the push is spent"
    assert shows(push(lock))[1] == "locked"
    lock.after(1.0, engaged=True)  # it cannot be, and would not hold the pin
    assert shows(push(lock))[1] == "unlocked"
    other = stage(steered=False)
    other.at(0.5, wheel_lock=False, engaged=True)
    assert shows(push(other))[1] == "locked", "another wheel is steered"


MOVES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.02, 1.0]),
        st.fixed_dictionaries({"wheel_lock": st.sampled_from([None, False, True])})
        | st.fixed_dictionaries({"engaged": st.booleans()}),
    ),
    max_size=30,
)


@given(MOVES)
def test_law_only_pushes_change_it(moves: list[Move]) -> None:
    lock, state, before, engaged, seen_off = stage(), False, None, False, False
    lock.at(0.0)
    for wait_s, changes in moves:
        lock.after(wait_s, **changes)
        engaged = changes.get("engaged", engaged)
        now = changes.get("wheel_lock", before)
        if now is True and before is not True and seen_off and (state or not engaged):
            state = not state
        seen_off = now is False or (seen_off and now is not None)
        before = now
        assert lock.facts.locked is state
        assert shows(lock)[0] is state


@given(MOVES, st.integers(1, 4))
def test_law_extra_looks_and_a_restored_copy(moves: list[Move], fine: int) -> None:
    extra_looks_change_nothing(stage, moves, fine)
    restored_goes_on_the_same(stage, moves, len(moves) // 2)


# -- with the steering --------------------------------------------------------------------------

BOTH: dict[str, Any] = {"wheel_lock": {"leg": "nose"}}


class Panel:
    """A twin on the ground, from switch to switch."""

    def __init__(self, **changes: Any) -> None:
        self.logic = PanelLogic(twin(**changes))
        self.now_s, self.events = 0.0, list[Event]()
        self.switches = switches("down", steering_button=False, wheel_lock=False)
        self.aircraft = ground(gear_handle=DOWN, ground_speed_kt=5.0, bus_powered=True)
        self.move()

    def move(self, aircraft: AircraftState | None = None, **moved: Any) -> Panel:
        self.now_s += 1.0
        self.switches = self.switches.having(**moved)
        self.aircraft = aircraft or self.aircraft
        self.result = self.logic.step(self.now_s, self.switches, self.aircraft)
        self.events += self.result.events
        return self

    def push(self) -> Panel:
        return self.move(wheel_lock=True).move(wheel_lock=False)

    @property
    def engaged(self) -> bool:
        return self.result.commands.steering_engaged

    @property
    def lit(self) -> set[str]:
        return {name for name, level in self.result.outputs.lamps.items() if level}

    def names(self) -> list[str]:
        return [event.name for event in self.events if event.level is not Level.FAULT]


def test_the_steering_of_a_locked_wheel_does_not_engage_and_says_why() -> None:
    panel = Panel(**BOTH).push().move(steering_button=True)
    assert (panel.engaged, panel.result.commands.wheel_locked) == (False, True)
    assert {"steering_unavailable_amber", "wheel_lock_green"} <= panel.lit
    assert "steering_refused_locked" in panel.names()
    reasons = [one.condition for one in panel.logic.reasons("steering_unavailable_amber")]
    assert "rule: steering button held while the wheel is locked" in reasons
    said = {one.condition: one.holds for one in panel.logic.reasons("steering_green")}
    assert said["nose wheel not locked"] is False


def test_unlocked_under_a_held_button_it_waits_for_a_new_press() -> None:
    panel = Panel(**BOTH).push().move(steering_button=True).push()
    assert "steering_engaged" not in panel.names()
    assert panel.move(steering_button=False).move(steering_button=True).engaged
    commands = panel.push().result.commands
    assert commands.steering_engaged, "the push was refused"
    assert "wheel_lock_refused" in panel.names()
    assert commands.wheel_locked is False


def test_the_lock_of_another_wheel_keeps_no_steering_off() -> None:
    panel = Panel(wheel_lock={"leg": "tail"}, fixed_legs=[{"name": "tail"}])
    panel.aircraft = ground(
        gear_handle=DOWN, bus_powered=True, strut_compressed=(True, True, True, True)
    )
    assert panel.push().move(steering_button=True).engaged
    assert panel.result.commands.wheel_locked is True


def test_without_power_it_stays_and_only_its_lamp_is_dark() -> None:
    panel = Panel(**BOTH).push()
    panel.move(ground(gear_handle=DOWN, bus_powered=False))
    assert "wheel_lock_green" not in panel.lit
    assert panel.result.commands.wheel_locked is True
    panel.move(ground(gear_handle=DOWN, bus_powered=True))
    assert "wheel_lock_green" in panel.lit


def test_only_an_aircraft_that_has_one_names_it() -> None:
    plain, full = twin(), twin(**BOTH)
    for names, it_is in ((plain, False), (full, True)):
        assert ("wheel_lock" in switches_of(names)) is it_is
        assert ("wheel_lock_green" in lamps_of(names)) is it_is
        assert ("wheel_lock_state" in vocabulary_of(names)) is it_is
        for event in ("wheel_locked", "wheel_lock_refused", "steering_refused_locked"):
            assert (event in events_of(names)) is it_is
    other = events_of(twin(wheel_lock={"leg": "right"}))
    assert "wheel_locked" in other
    assert not {"wheel_lock_refused", "steering_refused_locked"} & {*other}


@pytest.mark.parametrize(("leg", "fits"), [("nose", True), ("tail", True), ("tale", False)])
def test_the_leg_must_be_there(leg: str, fits: bool) -> None:
    found = list(misfits_of(twin(wheel_lock={"leg": leg}, fixed_legs=[{"name": "tail"}])))
    assert [one.path for one in found] == ([] if fits else [("wheel_lock", "leg")])
