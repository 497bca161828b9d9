"""All legs together: order, doors, what drives them, what breaks."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear import Gear, GearOrderParameters
from panelbridge.logic.gear_doors import DoorParameters
from panelbridge.logic.legs import LegParameters
from panelbridge.signals import GearPosition
from tests.logic.gear_rig import DOWN, NAMES, UP, Rig, flying, three_legs

DOORS = {"open_s": 1.0, "close_s": 2.0}


def moments(rig: Rig, word: str) -> dict[str, float]:
    """When each leg (or door) came into the state."""
    return {name: when for when, name, said in rig.trace if said == word}


# -- order ----------------------------------------------------------------------------------------


def test_a_group_begins_when_the_one_before_is_locked() -> None:
    order = {"extend": [["nose"], ["left", "right"]], "retract": [["left", "right"], ["nose"]]}
    rig = flying(order=order).at(10.0, handle="down").at(60.0)
    begun, locked = moments(rig, "unlocking_to_extend"), moments(rig, "down_locked")
    assert begun == {"nose": 10.0, "left": 16.3, "right": 16.3}
    assert locked == {"nose": 16.3, "left": 23.0, "right": 23.2}
    rig.at(100.0, handle="up").at(200.0)
    begun = moments(rig, "unlocking_to_retract")
    assert begun == {"left": 100.0, "right": 100.0, "nose": 107.2}
    assert rig.all_up


def test_legs_that_no_group_names_go_last_and_without_groups_all_go_at_once() -> None:
    rig = flying(order={"extend": [["right"]]}).at(10.0, handle="down").at(60.0)
    begun = moments(rig, "unlocking_to_extend")
    assert begun == {"right": 10.0, "nose": 16.9, "left": 16.9}
    rig.at(100.0, handle="up").at(100.0)
    assert set(rig.leg_states) == {"unlocking_to_retract"}


def test_a_group_that_does_not_lock_keeps_the_next_up() -> None:
    order = {"extend": [["nose"], ["left", "right"]]}
    rig = flying(order=order).fault("nose", "hung").at(10.0, handle="down").at(600.0)
    assert rig.leg_states == ["extending", "up_locked", "up_locked"]
    rig.fault("nose", None).at(700.0)
    assert rig.all_down


def test_turned_round_in_the_first_group_the_second_has_nothing_to_do() -> None:
    order = {"extend": [["nose"], ["left", "right"]], "retract": [["left", "right"], ["nose"]]}
    rig = flying(order=order).at(10.0, handle="down").at(13.0, handle="up").at(60.0)
    assert rig.all_up
    assert set(moments(rig, "unlocking_to_extend")) == {"nose"}


def test_in_an_emergency_no_leg_waits_for_another() -> None:
    order = {"extend": [["nose"], ["left", "right"]]}
    for means in ("air", "free_fall"):
        rig = flying(order=order, emergency={"means": means}).fault("nose", "hung")
        rig.press("emergency").after(60.0)
        assert rig.leg_states == ["extending", "down_locked", "down_locked"]


@pytest.mark.parametrize(
    "groups", [[["nose", "nose"]], [["nose"], ["left", "nose"]], [[]], [["Nose"]]]
)
@pytest.mark.parametrize("way", ["extend", "retract"])
def test_a_leg_is_ordered_once(groups: list[list[str]], way: str) -> None:
    with pytest.raises(ValidationError):
        GearOrderParameters.model_validate({way: groups})


def test_every_leg_that_an_order_names() -> None:
    order = GearOrderParameters(extend=[["nose"]], retract=[["left"], ["right"]])
    assert order.named == {"nose", "left", "right"}


# -- power ----------------------------------------------------------------------------------------


def test_without_power_in_transit_it_stops_and_goes_on_when_it_returns() -> None:
    rig = flying(power={"power": "hydraulic"}).at(10.0, handle="down")
    rig.at(12.0, hydraulic=False)
    stood = rig.travels()
    assert rig.leg_states == ["stopped"] * 3
    assert rig.reds == set(NAMES)
    assert rig.doing == "unsupplied"
    rig.at(100.0)
    assert rig.travels() == stood
    rig.at(100.0, hydraulic=True)
    assert rig.leg_states == ["extending"] * 3
    rig.at(160.0)
    locked = moments(rig, "down_locked")
    assert locked == pytest.approx({"nose": 104.3, "left": 104.7, "right": 104.9})


def test_without_power_while_unlocking_the_lock_closes_again() -> None:
    for found, handle in ((UP, "down"), (DOWN, "up")):
        rig = flying(found, power={"power": "hydraulic"}).at(10.0, handle=handle)
        rig.at(10.1, hydraulic=False).at(600.0)
        assert rig.all_up if found is UP else rig.all_down
        assert rig.reds == set()
        rig.at(600.0, hydraulic=True).at(700.0)
        assert rig.all_down if found is UP else rig.all_up


def test_doors_stop_without_power_too() -> None:
    rig = flying(power={"power": "hydraulic"}, legs=three_legs(door=DOORS)).at(10.0, handle="down")
    rig.at(10.5, hydraulic=False).at(20.0)
    assert set(rig.gear.values(20.0).values()) == {"stopped"}
    assert rig.handle_red
    rig.at(20.0, hydraulic=True).at(20.5)
    assert set(rig.gear.values(20.5).values()) == {"open"}


def test_a_leg_hung_at_its_end_stops_and_locks_later_only_with_power() -> None:
    rig = flying(power={"power": "hydraulic"}).fault("nose", "hung").at(10.0, handle="down")
    rig.at(100.0, hydraulic=False)
    assert rig.leg_states == ["stopped", "down_locked", "down_locked"]
    rig.fault("nose", None).at(200.0)
    assert rig.leg_states[0] == "stopped"
    rig.at(200.0, hydraulic=True)
    assert rig.all_down


# -- doors ----------------------------------------------------------------------------------------


def test_turned_round_while_a_door_opens_it_closes_again() -> None:
    rig = flying(legs=three_legs(door=DOORS)).at(10.0, handle="down").at(10.5, handle="up")
    assert set(rig.gear.values(10.5).values()) == {"closing"}
    rig.at(60.0)
    assert rig.all_up
    assert moments(rig, "unlocking_to_extend") == {}
    assert moments(rig, "closed") == dict.fromkeys(["nose_door", "left_door", "right_door"], 11.5)


def test_turned_round_while_a_door_closes_it_opens_again() -> None:
    rig = flying(legs=three_legs(door=DOORS)).at(10.0, handle="down").at(18.0)
    assert rig.gear.values(18.0)["nose_door"] == "closing"
    rig.at(18.0, handle="up")
    assert rig.gear.values(18.0)["nose_door"] == "opening"
    assert rig.at(60.0).all_up
    assert not rig.handle_red


def test_turned_round_in_transit_the_door_stays_open() -> None:
    rig = flying(legs=three_legs(door=DOORS)).at(10.0, handle="down").at(14.0, handle="up")
    assert set(rig.gear.values(14.0).values()) == {"open"}
    assert set(rig.leg_states) == {"retracting"}
    rig.at(60.0)
    assert rig.all_up
    assert set(rig.gear.values(60.0).values()) == {"closed"}


@pytest.mark.parametrize("means", ["air", "free_fall", "hand_pump"])
def test_an_emergency_opens_doors_and_closes_none(means: str) -> None:
    rig = flying(
        legs=three_legs(door=DOORS), power={"power": "hydraulic"}, emergency={"means": means}
    )
    rig.press("emergency").after(20.0)
    for _ in range(20):
        rig.press("hand_pump").after(1.0)
    assert rig.all_down
    assert set(rig.gear.values(rig.now_s).values()) == {"open"}
    assert rig.handle_red
    rig.after(1.0, handle="down").after(1.0, strut=True).press("gear_reset").after(10.0)
    assert set(rig.gear.values(rig.now_s).values()) == {"closed"}, "the normal power closes them"
    assert not rig.handle_red


def test_doors_tell_what_they_did() -> None:
    legs = three_legs()
    legs[0] = legs[0].model_copy(update={"door": three_legs(door=DOORS)[0].door})
    rig = flying(legs=legs).at(10.0, handle="down").at(60.0)
    told = [(h.time_s, h.name, h.subject) for h in rig.events if "door" in h.name]
    assert told == [
        (11.0, "gear_door_opened", "nose"),
        (19.3, "gear_door_closed", "nose"),
    ]
    assert set(rig.gear.values(60.0)) == {"nose_door"}
    assert [info.name for info in rig.gear.published] == ["nose_door"]
    assert rig.gear.published[0].words == ("closed", "opening", "open", "closing", "stopped")


def test_where_the_gear_is_found_doors_are_at_rest() -> None:
    for found in (UP, DOWN):
        for stays in (True, False):
            rig = Rig(three_legs(door={"close_when_down": not stays}), found=found)
            open_ = found is DOWN and stays
            assert set(rig.gear.values(0.0).values()) == {"open" if open_ else "closed"}
            assert rig.gear.doors_latched
            assert rig.gear.at_end(found)
            assert not rig.gear.at_end(UP if found is DOWN else DOWN)


# -- emergencies ----------------------------------------------------------------------------------


def gear(legs: int = 1, *, free_fall_s: float = 9.0) -> tuple[Gear, TimerHeap]:
    timers = TimerHeap()
    made = Gear(three_legs(free_fall_s=free_fall_s)[:legs], timers, EventLog())
    made.place(UP)
    return made, timers


def state(made: Gear) -> str:
    return made.legs[0].state.value


def test_a_leg_that_falls_goes_on_falling_with_the_handle_pushed_back() -> None:
    made, timers = gear()
    made.update(0.0, demand=UP, powered=False, emergency="free_fall")
    due = timers.pop_due(1.0)
    assert due is not None
    made.timer_due(*due)
    made.update(due[0], demand=UP, powered=False, emergency="free_fall")
    made.update(4.8, demand=UP, powered=False)
    assert made.legs[0].travel_fraction(4.8) == pytest.approx(0.5)
    assert state(made) == "extending"
    made.update(5.0, demand=UP, powered=True)
    assert state(made) == "retracting"
    made.update(6.0, demand=UP, powered=False)
    assert state(made) == "stopped", "lifted by power, it does not fall again"


def test_a_leg_that_is_still_locked_does_not_fall_with_the_handle_pushed_back() -> None:
    made, _ = gear()
    made.update(0.0, demand=UP, powered=False, emergency="free_fall")
    assert state(made) == "unlocking_to_extend"
    made.update(0.1, demand=UP, powered=False)
    assert state(made) == "up_locked"


def test_a_leg_that_begins_to_fall_half_way_takes_the_rest_in_the_time_of_falling() -> None:
    made, timers = gear(free_fall_s=20.0)
    made.update(0.0, demand=DOWN)
    due = timers.pop_due(1.0)
    assert due is not None
    made.timer_due(*due)
    made.update(3.3, demand=DOWN, powered=False, emergency="free_fall")
    assert made.legs[0].travel_fraction(3.3) == pytest.approx(0.5)
    assert timers.next_due_s == pytest.approx(13.3)
    made.update(8.3, demand=DOWN, powered=False, emergency="air")
    assert timers.next_due_s == pytest.approx(8.3 + 1.5)


def test_a_stroke_drives_the_legs_down_in_their_order() -> None:
    order = GearOrderParameters(extend=[["nose"], ["left", "right"]])
    made = Gear(three_legs(), TimerHeap(), EventLog(), order)
    made.place(UP)
    made.update(0.0, demand=UP, powered=True, emergency="hand_pump")
    assert {leg.state.value for leg in made.legs} == {"up_locked"}
    made.update(0.0, demand=UP, powered=True, emergency="hand_pump", stroke=True)
    assert [leg.state.value for leg in made.legs] == [
        "unlocking_to_extend",
        "up_locked",
        "up_locked",
    ]


def test_what_a_leg_s_file_that_says_little_gets() -> None:
    leg = LegParameters(name="nose")
    assert (leg.unlock_s, leg.extend_s, leg.retract_s, leg.free_fall_s) == (0.5, 6.0, 6.0, 9.0)
    assert leg.door is None
    door = DoorParameters()
    assert (door.open_s, door.close_s, door.close_when_down) == (1.0, 1.0, True)


# -- faults ---------------------------------------------------------------------------------------


def test_what_can_be_broken() -> None:
    legs = three_legs()
    legs[1] = legs[1].model_copy(update={"door": three_legs(door=DOORS)[1].door})
    made = Gear(legs, TimerHeap(), EventLog())
    kinds = ("hung", "contradictory", "down_switch_stuck", "down_switch_open")
    assert made.fault_kinds == {
        **dict.fromkeys(NAMES, kinds),
        "left_door": ("jammed",),
    }
    for target, kind in (("nose_door", "jammed"), ("nose", "jammed"), ("left_door", "hung")):
        with pytest.raises(LogicError):
            made.set_fault(0.0, target, kind)


def test_what_is_broken_stays_so_where_the_gear_is_found() -> None:
    made = Gear(three_legs(door=DOORS), TimerHeap(), EventLog())
    made.set_fault(0.0, "nose", "down_switch_stuck")
    made.set_fault(0.0, "left_door", "jammed")
    made.place(UP)
    assert made.locks[0].contradictory
    made.update(0.0, demand=GearPosition.DOWN)
    words = made.values(0.0)
    assert (words["nose_door"], words["left_door"]) == ("opening", "closed")
    made.set_fault(0.0, "left_door", None)
    made.set_fault(0.0, "nose", None)
    made.place(UP)
    made.update(0.0, demand=GearPosition.DOWN)
    assert set(made.values(0.0).values()) == {"opening"}
    assert not made.locks[0].contradictory
