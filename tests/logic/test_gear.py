"""All legs together: order, doors, what drives them, what breaks."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.logic.emergency.facts import EmergencyFacts, Means
from panelbridge.logic.gear.events import GEAR_EVENTS
from panelbridge.logic.gear.movement import LegFaults, Movement
from panelbridge.logic.gear.parameters import DoorParameters, GearOrderParameters, LegParameters
from panelbridge.logic.gear.system import LandingGear
from panelbridge.signals import GearPosition
from tests.logic.gear_rig import DOWN, NAMES, UP, Notes, Rig, flying, three_legs
from tests.logic.scenes import gear as scene

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
    assert set(rig.doors.values()) == {"stopped"}
    assert rig.handle_red
    rig.at(20.0, hydraulic=True).at(20.5)
    assert set(rig.doors.values()) == {"open"}


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
    assert set(rig.doors.values()) == {"closing"}
    rig.at(60.0)
    assert rig.all_up
    assert moments(rig, "unlocking_to_extend") == {}
    assert moments(rig, "closed") == dict.fromkeys(["nose_door", "left_door", "right_door"], 11.5)


def test_turned_round_while_a_door_closes_it_opens_again() -> None:
    rig = flying(legs=three_legs(door=DOORS)).at(10.0, handle="down").at(18.0)
    assert rig.doors["nose"] == "closing"
    rig.at(18.0, handle="up")
    assert rig.doors["nose"] == "opening"
    assert rig.at(60.0).all_up
    assert not rig.handle_red


def test_turned_round_in_transit_the_door_stays_open() -> None:
    rig = flying(legs=three_legs(door=DOORS)).at(10.0, handle="down").at(14.0, handle="up")
    assert set(rig.doors.values()) == {"open"}
    assert set(rig.leg_states) == {"retracting"}
    rig.at(60.0)
    assert rig.all_up
    assert set(rig.doors.values()) == {"closed"}


@pytest.mark.parametrize("means", ["air", "free_fall", "hand_pump"])
def test_an_emergency_opens_doors_and_closes_none(means: str) -> None:
    rig = flying(
        legs=three_legs(door=DOORS), power={"power": "hydraulic"}, emergency={"means": means}
    )
    rig.press("emergency").after(20.0)
    for _ in range(20):
        rig.press("hand_pump").after(1.0)
    assert rig.all_down
    assert set(rig.doors.values()) == {"open"}
    assert rig.handle_red
    rig.after(1.0, handle="down").after(1.0, strut=True).press("gear_reset").after(10.0)
    assert set(rig.doors.values()) == {"closed"}, "the normal power closes them"
    assert not rig.handle_red


def test_doors_tell_what_they_did() -> None:
    legs = three_legs()
    legs[0] = legs[0].model_copy(update={"door": three_legs(door=DOORS)[0].door})
    rig = flying(legs=legs).at(10.0, handle="down").at(60.0)
    reported = [(h.time_s, h.name, h.subject) for h in rig.events if "door" in h.name]
    assert reported == [
        (11.0, "gear_door_opened", "nose"),
        (19.3, "gear_door_closed", "nose"),
    ]
    assert set(rig.doors) == {"nose"}
    (info,) = (info for info in rig.gear.values if info.name.endswith("_door"))
    assert info.name == "nose_door"
    assert info.words == ("closed", "opening", "open", "closing", "stopped")
    assert rig.value("nose_door") == "closed"


def test_where_the_gear_is_found_doors_are_at_rest() -> None:
    for found in (UP, DOWN):
        for stays in (True, False):
            rig = Rig(three_legs(door={"close_when_down": not stays}), found=found)
            open_ = found is DOWN and stays
            assert set(rig.doors.values()) == {"open" if open_ else "closed"}
            assert rig.facts.doors_latched
            made = Moving(three_legs(door={"close_when_down": not stays}))
            moved = made.movement.found(found)
            assert made.movement.at_end(moved, found, made.faults)
            assert not made.movement.at_end(moved, UP if found is DOWN else DOWN, made.faults)


def test_jammed_it_stays_and_freed_it_does_what_is_asked_now() -> None:
    rig = flying(power={"power": "hydraulic"}, legs=three_legs(door=DOORS))
    rig.fault("nose_door", "jammed").at(10.0, handle="down").at(20.0)
    assert (rig.doors["nose"], rig.facts.legs[0].is_up) == ("closed", True)
    rig.fault("nose_door", None)
    assert rig.at(20.5).doors["nose"] == "opening"
    rig.fault("nose_door", "jammed")
    assert rig.at(30.0).doors["nose"] == "stopped"
    rig.at(31.0, hydraulic=False).fault("nose_door", None)
    assert rig.at(40.0).doors["nose"] == "stopped", "nothing drives it"
    rig.at(41.0, hydraulic=True)
    assert rig.at(41.4999).doors["nose"] == "opening", "it had opened half"
    assert rig.at(41.5).doors["nose"] == "open"


# -- emergencies ----------------------------------------------------------------------------------


class Moving:
    """Legs that are driven by hand, from due time to due time."""

    def __init__(self, legs: list[LegParameters], order: GearOrderParameters | None = None) -> None:
        self.movement = Movement(legs, order or GearOrderParameters())
        self.moved = self.movement.found(UP)
        self.faults = LegFaults((None,) * len(legs), (False,) * len(legs))
        self.log = Notes()

    def drive(
        self,
        now_s: float,
        demand: GearPosition = UP,
        *,
        powered: bool = False,
        means: Means | None = None,
        stroke: bool = False,
    ) -> Moving:
        while (due_s := self.moved.due_s) <= now_s:
            self.moved = self.movement.came_due(due_s, self.moved, self.faults, self.log)
        self.moved = self.movement.drive(
            now_s,
            self.moved,
            demand,
            self.faults,
            powered=powered,
            emergency=EmergencyFacts(means=means, stroke=stroke),
        )
        return self

    @property
    def state(self) -> str:
        return self.moved.legs[0].state.value

    def travel(self, now_s: float) -> float:
        return self.moved.legs[0].travel.at(now_s)


def test_a_leg_that_falls_goes_on_falling_with_the_handle_pushed_back() -> None:
    made = Moving(three_legs()[:1])
    made.drive(0.0, means="free_fall").drive(0.3, means="free_fall")
    made.drive(4.8)
    assert made.travel(4.8) == pytest.approx(0.5)
    assert made.state == "extending"
    made.drive(5.0, powered=True)
    assert made.state == "retracting"
    made.drive(6.0)
    assert made.state == "stopped", "lifted by power, it does not fall again"


def test_a_leg_that_is_still_locked_does_not_fall_with_the_handle_pushed_back() -> None:
    made = Moving(three_legs()[:1]).drive(0.0, means="free_fall")
    assert made.state == "unlocking_to_extend"
    made.drive(0.1)
    assert made.state == "up_locked"


def test_a_leg_that_begins_to_fall_half_way_takes_the_rest_in_the_time_of_falling() -> None:
    made = Moving(three_legs(free_fall_s=20.0)[:1]).drive(0.0, DOWN, powered=True)
    made.drive(3.3, DOWN, means="free_fall")
    assert made.travel(3.3) == pytest.approx(0.5)
    assert made.moved.due_s == pytest.approx(13.3)
    made.drive(8.3, DOWN, means="air")
    assert made.moved.due_s == pytest.approx(8.3 + 1.5)


def test_a_stroke_drives_the_legs_down_in_their_order() -> None:
    order = GearOrderParameters(extend=[["nose"], ["left", "right"]])
    made = Moving(three_legs(), order).drive(0.0, powered=True, means="hand_pump")
    assert {leg.state.value for leg in made.moved.legs} == {"up_locked"}
    made.drive(0.0, powered=True, means="hand_pump", stroke=True)
    assert [leg.state.value for leg in made.moved.legs] == [
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


# -- events ---------------------------------------------------------------------------------------


def test_the_scenes_make_every_event_of_the_gear() -> None:
    assert {event.name for event in scene.events()} >= set(GEAR_EVENTS)


# -- faults ---------------------------------------------------------------------------------------


def test_what_can_be_broken() -> None:
    legs = three_legs()
    legs[1] = legs[1].model_copy(update={"door": three_legs(door=DOORS)[1].door})
    kinds = ("hung", "contradictory", "down_switch_stuck", "down_switch_open")
    assert {fault.name: fault.kinds for fault in LandingGear(legs).faults} == {
        **dict.fromkeys(NAMES, kinds),
        "left_door": ("jammed",),
    }


def test_what_is_broken_stays_so_where_the_gear_is_found() -> None:
    rig = Rig(three_legs(door=DOORS), found=None)
    rig.fault("nose", "down_switch_stuck").fault("left_door", "jammed")
    rig.at(0.0, simulator=UP, strut=False, handle="up")
    assert rig.locks[0].contradictory
    rig.at(1.0, handle="down")
    assert (rig.doors["nose"], rig.doors["left"]) == ("opening", "closed")
    rig = Rig(three_legs(door=DOORS), found=None)
    rig.fault("nose", "down_switch_stuck").fault("left_door", "jammed")
    rig.fault("left_door", None).fault("nose", None)
    rig.at(0.0, simulator=UP, strut=False, handle="up").at(1.0, handle="down")
    assert set(rig.doors.values()) == {"opening"}
    assert not rig.locks[0].contradictory
