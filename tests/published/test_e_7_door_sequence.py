"""E-7: FAA-H-8083-31 ch. 12-13: sequence valves: the doors open before the gear moves."""

from __future__ import annotations

import pytest

from tests.logic.gear_rig import DOWN, NAMES, UP, Rig, flying, three_legs

DOORS = {"open_s": 1.5, "close_s": 2.0}


def story(rig: Rig, leg: str) -> list[str]:
    """What the leg and its door did, in order."""
    names = {leg: "leg", f"{leg}_door": "door"}
    return [f"{names[name]} {word}" for _, name, word in rig.trace if name in names]


@pytest.mark.parametrize("leg", NAMES)
def test_extension_door_open_unlock_locked_door_closed(leg: str) -> None:
    """Ch. 13: door open < gear unlocked < gear locked < door closed."""
    rig = flying(UP, legs=three_legs(door=DOORS)).at(10.0, handle="down").at(60.0)
    assert story(rig, leg) == [
        "door opening",
        "door open",
        "leg unlocking_to_extend",
        "leg extending",
        "leg down_locked",
        "door closing",
        "door closed",
    ]
    times = [when for when, name, _ in rig.trace if name in (leg, f"{leg}_door")]
    assert times[0] == 10.0
    assert times[1] == times[2] == 11.5
    assert times[-1] == pytest.approx(times[-2] + 2.0)


@pytest.mark.parametrize("leg", NAMES)
def test_retraction_is_the_same_the_other_way(leg: str) -> None:
    """Ch. 13: the doors open again for the way up."""
    rig = flying(DOWN, legs=three_legs(door=DOORS)).at(10.0, handle="up").at(60.0)
    assert story(rig, leg) == [
        "door opening",
        "door open",
        "leg unlocking_to_retract",
        "leg retracting",
        "leg up_locked",
        "door closing",
        "door closed",
    ]


@pytest.mark.parametrize("leg", NAMES)
def test_a_leg_whose_door_does_not_open_does_not_move(leg: str) -> None:
    """Ch. 13: a sequence valve lets nothing pass before the door is open."""
    rig = flying(UP, legs=three_legs(door=DOORS)).fault(f"{leg}_door", "jammed")
    rig.at(10.0, handle="down").at(600.0)
    assert story(rig, leg) == []
    assert rig.greens == set(NAMES) - {leg}
    assert rig.handle_red


def test_a_door_that_jams_half_open_keeps_its_leg_up() -> None:
    """Ch. 13: half open is not open."""
    rig = flying(UP, legs=three_legs(door=DOORS)).at(10.0, handle="down").at(11.0)
    rig.fault("nose_door", "jammed").at(600.0)
    assert story(rig, "nose") == ["door opening", "door stopped"]
    assert rig.handle_red
    rig.fault("nose_door", None).at(620.0)
    assert rig.all_down


def test_doors_that_stay_open_while_the_gear_is_down() -> None:
    """Ch. 13, *if* closing doors: others stay open, and are right there."""
    rig = flying(UP, legs=three_legs(door={**DOORS, "close_when_down": False}))
    rig.at(10.0, handle="down").at(60.0)
    assert story(rig, "nose")[-1] == "leg down_locked"
    assert set(rig.doors.values()) == {"open"}
    assert not rig.handle_red
    rig.at(70.0, handle="up").at(120.0)
    assert story(rig, "nose")[5:] == [
        "leg unlocking_to_retract",
        "leg retracting",
        "leg up_locked",
        "door closing",
        "door closed",
    ]
    assert set(rig.doors.values()) == {"closed"}
