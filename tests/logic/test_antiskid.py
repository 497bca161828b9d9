"""Anti-skid: wheels, touchdown, locked wheels, self-test, failures, reminder."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from typing import Any

import pytest
from msgspec.structs import astuple

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID, WheelFacts
from panelbridge.logic.antiskid.fitting import AntiskidFitting
from panelbridge.logic.antiskid.monitor import AntiskidMonitor
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.antiskid.sensors import WheelSensors
from panelbridge.logic.antiskid.system import AntiSkid
from panelbridge.logic.antiskid.touchdown import Protection
from panelbridge.logic.antiskid.wheel_locks import WheelLocks
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, WheelParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import (
    BUS_POWERED,
    GROUND_SPEED_KT,
    antiskid_working,
    wheel_rpm,
)
from panelbridge.signals import Level, Reason
from tests.logic.spread_stage import SpreadStage
from tests.logic.stage import Input

NAN = float("nan")
NAMES = ("left_outer", "left_inner", "right_inner", "right_outer")
WHEELS = [
    WheelParameters(name="left_outer", side="left"),
    WheelParameters(name="left_inner", side="left"),
    WheelParameters(name="right_inner", side="right"),
    WheelParameters(name="right_outer", side="right"),
]
NUMBERS: dict[str, Any] = {
    "spun_up_rpm": 150.0,
    "spun_up_hysteresis_rpm": 50.0,
    "touchdown_timeout_s": 5.0,
    "locked_ratio": 0.4,
    "rolling_ratio": 0.8,
    "self_test_s": 2.0,
    # What it watches itself by has tests of its own: test_antiskid_monitor.py.
    "sensor_fault_s": None,
    "dump_limit_s": None,
    "spin_up_limit_s": None,
}
STILL = (0.0,) * 4
FAST = (600.0,) * 4


INPUTS: dict[str, Input] = {
    "switch": ANTISKID,
    "bus_powered": BUS_POWERED,
    "ground_speed_kt": GROUND_SPEED_KT,
    "left_on_ground": (AirGroundFacts, "struts", 0),
    "right_on_ground": (AirGroundFacts, "struts", 1),
    "in_air": (AirGroundFacts, "air_for_warnings"),
    "parked": (BrakesFacts, "is_parked"),
    "emergency_braking": (BrakesFacts, "emergency_braking"),
    "braked": (BrakesFacts, "side_fractions"),
    "gear_down": (GearFacts, "all_down"),
    **{f"rpm_{number}": wheel_rpm(number) for number in range(len(NAMES))},
    **{f"working_{number}": antiskid_working(number) for number in range(len(NAMES))},
}


def each_wheel(name: str) -> Callable[[Any], dict[str, Any]]:
    """A cell for each wheel; what is not given is unknown."""

    def spread(values: Any) -> dict[str, Any]:
        known = [*values, *[None] * len(NAMES)][: len(NAMES)]
        return {f"{name}_{number}": value for number, value in enumerate(known)}

    return spread


def stage(
    *, fed_working: bool = False, first: bool = True, wheels: Any = WHEELS, **numbers: Any
) -> SpreadStage[AntiSkid]:
    """On the ground, standing, switched on since before the first step."""
    parameters = AntiskidParameters(**{**NUMBERS, **numbers})
    sides = tuple([SIDES.index(wheel.side) for wheel in wheels])
    names = tuple([wheel.name for wheel in wheels])
    fitting = AntiskidFitting(parameters, names, sides, (0, 1), fed_working)
    system = AntiSkid(fitting)
    made = SpreadStage(
        system,
        INPUTS | {fault.name: fault for fault in system.faults},
        {"speeds": each_wheel("rpm"), "working": each_wheel("working")},
        beside=[WheelSensors(fitting), WheelLocks(fitting), AntiskidMonitor(fitting)],
        speeds=STILL,
        working=(),
        switch=True,
        bus_powered=True,
        left_on_ground=True,
        right_on_ground=True,
        parked=False,
        emergency_braking=False,
        braked=(0.0, 0.0),
        gear_down=True,
        in_air=False,
    )
    if first:
        made.at(0.0)
    return made


def rolling(**more: Any) -> SpreadStage[AntiSkid]:
    """Fast on the ground with both pedals down."""
    skid = stage(**more)
    skid.after(1.0, speeds=FAST, braked=(1.0, 1.0))
    return skid


def flying(**more: Any) -> SpreadStage[AntiSkid]:
    """In the air with the gear down and both pedals down."""
    skid = stage(**more)
    skid.after(1.0, left_on_ground=False, right_on_ground=False, in_air=True, braked=(1.0, 1.0))
    return skid


def active(skid: SpreadStage[AntiSkid]) -> tuple[bool, ...]:
    return tuple([wheel.active for wheel in skid.facts.wheels])


def shut(skid: SpreadStage[AntiSkid]) -> tuple[bool, ...]:
    return tuple([wheel.shut_off for wheel in skid.facts.wheels])


def works(skid: SpreadStage[AntiSkid]) -> bool:
    return skid.facts.is_working is True


def word(skid: SpreadStage[AntiSkid], name: str = "left_outer") -> Any:
    return skid.value(f"{name}_antiskid")


NONE, EACH = (False,) * 4, (True,) * 4


# -- when it works --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "after"),
    [
        ({}, EACH),
        ({"switch": False}, NONE),
        ({"switch": None}, EACH),
        ({"bus_powered": False}, NONE),
        ({"bus_powered": None}, EACH),
        ({"parked": True}, NONE),
        ({"emergency_braking": True}, NONE),
        ({"left_on_ground": False}, (False, False, True, True)),
        ({"left_on_ground": None}, (False, False, True, True)),
        ({"right_on_ground": False}, (True, True, False, False)),
        ({"right_on_ground": None}, (True, True, False, False)),
        ({"speeds": (100.0, 100.1, 600.0, None)}, (False, True, True, False)),
        ({"speeds": (600.0, NAN)}, (True, False, False, False)),
        ({"speeds": ()}, NONE),
        ({"gear_down": False}, EACH),
        ({"in_air": True}, EACH),
    ],
)
def test_on_which_wheels_it_works(change: dict[str, Any], after: tuple[bool, ...]) -> None:
    skid = rolling()
    assert active(skid) == EACH
    skid.after(1.0, **change)
    assert active(skid) == after


def test_a_wheel_that_failed_is_out_and_the_others_work() -> None:
    skid = rolling()
    skid.fault("left_inner_antiskid", "failed")
    assert active(skid) == (True, False, True, True)
    assert works(skid)
    for name in NAMES:
        skid.fault(f"{name}_antiskid", "failed")
    assert not works(skid)
    skid.fault("right_outer_antiskid", None)
    assert works(skid)
    assert active(skid) == (False, False, False, True)
    skid.after(1.0, switch=False)
    assert not works(skid)
    assert [fault.name for fault in skid.system.faults] == [f"{name}_antiskid" for name in NAMES]


def test_spun_up_has_a_hysteresis() -> None:
    skid = stage()
    seen = []
    for speed in (150.0, 150.1, 120.0, 100.1, 100.0, 150.0, 150.1):
        before = skid.facts
        skid.after(0.1, speeds=(speed, 0.0, 0.0, 0.0))
        seen.append((skid.facts != before, active(skid)[0]))
    assert seen == [
        (False, False),
        (True, True),
        (False, True),
        (False, True),
        (True, False),
        (False, False),
        (True, True),
    ]


def test_lost_speed_is_no_change_of_a_wheel_that_stands() -> None:
    skid = stage()
    changed = []
    for speed in (None, 50.0, 151.0, NAN):
        before = skid.facts
        skid.after(0.1, speeds=(speed,) * 4)
        changed.append(skid.facts != before)
    assert changed == [False, False, True, True]


# -- touchdown ------------------------------------------------------------------------------------


def test_shut_off_in_the_air_and_until_each_wheel_turns() -> None:
    skid = flying()
    assert shut(skid) == EACH
    assert word(skid) == "shut_off"
    skid.after(1.0, left_on_ground=True, right_on_ground=True)
    assert shut(skid) == EACH
    skid.after(0.5, speeds=(151.0, 150.0, 200.0, 0.0))
    assert shut(skid) == (False, True, False, True)
    assert skid.names == [], "what is not braked is not locked"
    skid.after(0.5, speeds=FAST)
    assert shut(skid) == NONE
    assert skid.loop.next_due_s == inf, "nothing to wait for"
    skid.after(60.0, speeds=STILL)
    assert shut(skid) == NONE, "it may stand still at the end of the roll"
    assert skid.loop.next_due_s == inf


def test_a_wheel_that_has_turned_once_stays_free() -> None:
    skid = flying()
    skid.after(1.0, left_on_ground=True, right_on_ground=True)
    skid.after(0.5, speeds=(200.0, 0.0, 0.0, 0.0))
    skid.after(0.5, speeds=STILL, braked=(0.0, 0.0))
    assert shut(skid) == (False, True, True, True)


@pytest.mark.parametrize("rate_hz", [0.2, 1.0, 13.0])
def test_the_time_out_frees_them(rate_hz: float) -> None:
    skid = flying()
    skid.at(10.0, left_on_ground=True)
    for number in range(1, int(10 * rate_hz) + 1):
        skid.at(10.0 + number / rate_hz)
        landed = number / rate_hz >= 5.0
        assert shut(skid) == (not landed, not landed, True, True)


def test_each_side_by_itself_and_a_bounce_begins_again() -> None:
    skid = flying()
    skid.at(10.0, left_on_ground=True)
    skid.at(12.0, right_on_ground=True)
    skid.at(14.0, left_on_ground=False)
    assert shut(skid) == EACH
    skid.at(16.0, left_on_ground=True)
    skid.at(17.0)
    assert shut(skid) == (True, True, False, False)
    skid.at(20.9)
    assert shut(skid) == (True, True, False, False)
    skid.at(21.0)
    assert shut(skid) == NONE


def test_wheels_that_already_turn_are_free_at_the_touchdown() -> None:
    skid = flying()
    skid.after(1.0, speeds=FAST)
    assert shut(skid) == EACH
    skid.after(1.0, left_on_ground=True)
    assert shut(skid) == (False, False, True, True)


def test_found_on_the_ground_nothing_is_shut_off() -> None:
    skid = stage(first=False)
    skid.at(0.0, left_on_ground=None, right_on_ground=None)
    assert shut(skid) == NONE
    skid.at(1.0, left_on_ground=True, right_on_ground=True)
    assert shut(skid) == NONE
    found = stage(first=False)
    found.at(0.0, left_on_ground=False, right_on_ground=False)
    assert shut(found) == EACH


@pytest.mark.parametrize("landed", [False, True])
def test_a_strut_that_was_lost_leaves_the_brakes_to_the_pilot(landed: bool) -> None:
    skid = flying()
    skid.after(1.0, left_on_ground=landed)
    skid.after(1.0, left_on_ground=None)
    assert shut(skid) == (False, False, True, True)
    skid.after(1.0, left_on_ground=True)
    assert shut(skid) == (False, False, True, True)
    assert skid.loop.next_due_s == inf


@pytest.mark.parametrize(
    "change",
    [{"switch": False}, {"bus_powered": False}, {"emergency_braking": True}],
)
def test_there_is_none_while_it_does_not_work(change: dict[str, Any]) -> None:
    skid = flying()
    skid.after(1.0, **change)
    assert shut(skid) == NONE
    skid.after(1.0, switch=True, bus_powered=True, emergency_braking=False)
    assert shut(skid) == EACH, "still in the air"


def test_none_on_a_wheel_that_failed_and_none_in_aircraft_without_it() -> None:
    skid = flying()
    skid.fault("right_inner_antiskid", "failed")
    assert shut(skid) == (True, True, False, True)
    assert shut(flying(touchdown_protection=False)) == NONE


def test_one_side_without_wheels() -> None:
    skid = flying(wheels=WHEELS[:2])
    skid.after(1.0, left_on_ground=True, right_on_ground=True)
    assert shut(skid) == (True, True)
    empty = Protection(())
    for on_ground in (False, True, None):
        empty = empty.after(1.0, on_ground=on_ground, spun_up=(), timeout_s=5.0)
        assert not empty.blocked
        assert empty.due_s == inf


# -- locked wheels --------------------------------------------------------------------------------


def test_a_locked_wheel_is_let_go_until_it_rolls() -> None:
    skid = rolling()
    seen = []
    for speed in (240.0, 239.9, 0.0, 300.0, 479.9, 480.0, 300.0, 239.0):
        speeds = (600.0, speed, 600.0, 500.0)
        before = skid.facts
        skid.after(0.1, speeds=speeds)
        seen.append((skid.facts != before, shut(skid)[1]))
        assert shut(skid)[0] is shut(skid)[2] is shut(skid)[3] is False
    assert seen == [
        (False, False),
        (True, True),
        (True, True),  # it is no longer spun up
        (True, True),
        (False, True),
        (True, False),
        (False, False),
        (True, True),
    ]
    assert [h.subject for h in skid.events if h.name == "locked_wheel_let_go"] == ["left_inner"] * 2
    assert word(skid, "left_inner") == "let_go"


@pytest.mark.parametrize(
    "change",
    [
        {"braked": (0.0, 1.0)},
        {"switch": False},
        {"parked": True},
        {"emergency_braking": True},
        {"bus_powered": False},
        {"left_on_ground": None},
        {"speeds": (0.0, 0.0, 100.0, 100.0)},
        {"speeds": (None, None, 600.0, 600.0)},
        {"speeds": (0.0, 0.0)},
    ],
)
def test_what_keeps_it_from_letting_go(change: dict[str, Any]) -> None:
    skid = rolling()
    skid.after(1.0, speeds=(0.0, 0.0, 600.0, 600.0))
    assert shut(skid) == (True, True, False, False)
    skid.after(1.0, **change)
    assert shut(skid) == NONE


@pytest.mark.parametrize("unknown", [None, NAN])
def test_a_wheel_that_is_unknown_hides_no_locked_one(unknown: float | None) -> None:
    skid = rolling()
    skid.after(1.0, speeds=(unknown, 300.0, 600.0, 600.0))
    speeds = (unknown, 200.0, 600.0, 600.0)
    skid.after(1.0, speeds=speeds)
    assert shut(skid) == (False, True, False, False)


def test_a_speed_that_becomes_known_between_the_limits_is_not_spun_up() -> None:
    skid = rolling()
    skid.after(1.0, speeds=(None,) * 4)
    skid.after(1.0, speeds=(120.0, 120.0, 150.0, 151.0))
    assert active(skid) == (False, False, False, True)


def test_a_wheel_that_failed_is_not_let_go_and_a_lone_one_neither() -> None:
    skid = rolling()
    skid.fault("left_outer_antiskid", "failed")
    skid.after(1.0, speeds=(0.0, 600.0, 600.0, 600.0))
    assert shut(skid) == NONE
    lone = rolling(wheels=WHEELS[:1])
    lone.after(1.0, speeds=(0.0,))
    assert shut(lone) == (False,)


def test_rolling_again_cannot_be_below_locked() -> None:
    skid = rolling(locked_ratio=0.5, rolling_ratio=0.1)
    skid.after(1.0, speeds=(290.0, 600.0, 600.0, 600.0))
    assert shut(skid)[0]
    skid.after(1.0, speeds=(310.0, 600.0, 600.0, 600.0))
    assert not shut(skid)[0]


def test_speeds_without_watching_are_cheap_to_take() -> None:
    """Within its limits a speed wakes nothing: standing still, turning, spun up."""
    skid, first = stage(), wheel_rpm(0)
    speeds = (0.0, 50.0, 150.0, 150.1, 900.0, 100.1, 100.0, 10.0)
    said = [skid.loop.set(first, rpm) for rpm in speeds]
    assert said == [False, True, False, True, False, False, True, False]


# -- lamps ----------------------------------------------------------------------------------------

ALL_LAMPS = {f"{name}_antiskid_amber" for name in NAMES} | {"antiskid_off_amber"}


@pytest.mark.parametrize("rate_hz", [0.5, 4.0])
def test_switching_on_lights_all_its_lamps_for_a_time(rate_hz: float) -> None:
    skid = stage()
    skid.at(1.0, switch=False)
    assert skid.lit == {"antiskid_off_amber"}
    skid.at(10.0, switch=True)
    assert skid.lit == ALL_LAMPS
    for number in range(int(4 * rate_hz)):
        skid.at(10.0 + number / rate_hz)
        assert skid.lit == (ALL_LAMPS if number / rate_hz < 2.0 else set())
    skid.at(20.0)
    assert skid.logged == [(12.0, "antiskid_tested", "")]


def test_a_wheel_that_failed_stays_lit_after_the_test() -> None:
    skid = stage()
    skid.fault("left_outer_antiskid", "failed")
    skid.at(1.0, switch=False)
    assert skid.lit == {"antiskid_off_amber", "left_outer_antiskid_amber"}, "off it shows it too"
    skid.at(2.0, switch=True)
    assert skid.lit == ALL_LAMPS
    skid.at(5.0)
    assert skid.lit == {"left_outer_antiskid_amber"}
    assert word(skid) == "failed"
    assert skid.system.failures() == ("anti-skid failed on the left outer wheel: its valve failed",)
    assert skid.names == ["antiskid_failed", "antiskid_tested"]
    assert skid.events[0].level is Level.CAUTION


def test_found_on_there_is_no_test_and_after_the_bus_comes_back_there_is() -> None:
    skid = stage()
    assert skid.lit == set()
    skid.at(1.0, switch=None)
    skid.at(2.0, switch=True)
    assert skid.lit == set()
    skid.at(3.0, bus_powered=False)
    skid.at(4.0, bus_powered=True)
    assert skid.lit == ALL_LAMPS
    skid.at(5.0, bus_powered=False)
    assert skid.lit == set(), "cut off"
    assert skid.loop.next_due_s == inf
    assert skid.names == []


def test_before_anything_was_looked_at() -> None:
    fresh = stage(first=False)
    assert active(fresh) == shut(fresh) == NONE
    assert not works(fresh)
    assert fresh.lit == {"antiskid_off_amber"}
    assert fresh.system.failures() == ()
    assert fresh.facts.wheels == (WheelFacts(),) * 4
    words = fresh.system.words(fresh.loop.world(0.0))
    reported = {field: reason.holds for field, (reason,) in words.items()}
    assert reported == dict.fromkeys(reported, False) | {"powered": True}


def test_a_short_test_is_one() -> None:
    skid = stage(self_test_s=0.5)
    skid.at(1.0, switch=False)
    skid.at(2.0, switch=True)
    assert skid.lit == ALL_LAMPS
    skid.at(2.5)
    assert skid.lit == set()


def test_no_test_when_its_time_is_nothing() -> None:
    skid = stage(self_test_s=0.0)
    skid.at(1.0, switch=False)
    skid.at(2.0, switch=True)
    assert skid.lit == set()


def test_the_colour_of_failure_is_the_aircraft_s() -> None:
    skid = stage(failure_colour="red")
    assert {lamp.name for lamp in skid.system.lamps} == {
        *(f"{name}_antiskid_red" for name in NAMES),
        "antiskid_off_amber",
    }
    skid.fault("right_outer_antiskid", "failed")
    assert skid.lit == {"right_outer_antiskid_red"}


def test_check_values_of_the_trade() -> None:
    """Four anti-skid lamps, red on failure. Common practice, no source."""
    skid = stage(failure_colour="red")
    for name in NAMES:
        skid.fault(f"{name}_antiskid", "failed")
    assert skid.lit == {f"{name}_antiskid_red" for name in NAMES}


@pytest.mark.parametrize(
    ("switch", "gear_down", "in_air", "reminds"),
    [
        (False, True, True, True),
        (None, True, True, False),
        (True, True, True, False),
        (False, False, True, False),
        (False, True, False, False),
    ],
)
@pytest.mark.parametrize("on_ground_too", [True, False])
def test_a_lamp_while_it_is_off_and_a_reminder_before_landing(
    switch: bool | None, gear_down: bool, in_air: bool, reminds: bool, on_ground_too: bool
) -> None:
    skid = stage(off_lamp_on_ground=on_ground_too)
    skid.at(1.0, switch=switch, gear_down=gear_down, in_air=in_air)
    skid.at(2.0)
    lit = switch is False if on_ground_too else reminds  # a lost switch keeps its effect
    assert ("antiskid_off_amber" in skid.lit) is lit
    assert skid.names == (["antiskid_left_off"] if reminds else [])


def test_without_power_before_landing_it_reminds_too() -> None:
    skid = stage()
    skid.at(1.0, bus_powered=False)
    assert skid.lit == set()
    skid.at(2.0, in_air=True)
    assert skid.lit == {"antiskid_off_amber"}
    assert skid.names == ["antiskid_left_off"]


def test_on_with_the_parking_brake_it_says_that_it_does_not_work() -> None:
    skid = stage(off_lamp_on_ground=False)
    skid.at(1.0, parked=True)
    assert skid.lit == {"antiskid_off_amber"}
    assert word(skid) == "inoperative"
    skid.at(2.0, switch=False)
    assert skid.lit == set()
    assert skid.names == []


def test_with_the_emergency_brake_lamps_and_word_say_that_it_does_not_work() -> None:
    skid = rolling()
    skid.after(1.0, emergency_braking=True)
    assert skid.lit == ALL_LAMPS
    assert word(skid) == "inoperative"
    skid.fault("left_inner_antiskid", "failed")
    assert word(skid, "left_inner") == "failed", "that is worse"
    skid.after(1.0, switch=False)
    assert skid.lit == {"antiskid_off_amber", "left_inner_antiskid_amber"}
    skid.after(1.0, switch=True, emergency_braking=False)
    skid.after(3.0)
    assert skid.lit == {"left_inner_antiskid_amber"}


def test_the_words() -> None:
    skid = stage()
    assert word(skid) == "armed"
    skid.after(1.0, speeds=FAST)
    assert word(skid) == "active"
    skid.after(1.0, switch=False)
    assert word(skid) == "off"


# -- a feed that reports --------------------------------------------------------------------------


def test_the_feed_can_be_the_authority() -> None:
    skid = rolling(fed_working=True)
    assert skid.lit == {f"{name}_antiskid_amber" for name in NAMES}, "unknown is not working"
    skid.after(1.0, working=(True, False, None))
    assert active(skid) == (True, False, False, False)
    assert works(skid)
    skid.after(1.0, working=(True,) * 4)
    assert skid.lit == set()


def test_without_the_authority_it_is_nothing() -> None:
    skid = rolling()
    skid.after(1.0, working=(False,) * 4)
    assert active(skid) == EACH


def test_reasons_of_every_lamp() -> None:
    skid = stage()
    skid.fault("left_inner_antiskid", "failed")
    world = skid.loop.world(skid.now_s)
    (decision,) = skid.system.decisions("left_inner_antiskid_amber", world)
    assert decision.words["shown"] == (
        Reason("anti-skid failed on the left inner wheel", True, "its valve failed"),
    )
    assert decision.words["running"] == (Reason("anti-skid on and powered", True),)
    (decision,) = skid.system.decisions("left_outer_antiskid_amber", world)
    assert not decision.words["shown"][0].holds
    assert skid.system.decisions("horn", world) == ()
    skid.hold()


def run(**numbers: Any) -> list[Any]:
    """What comes of one script that needs every number."""
    seen: list[Any] = []
    watched = {"sensor_fault_s": 4.0, "dump_limit_s": 1.5, "spin_up_limit_s": 20.0}
    skid = stage(**{**watched, "wheel_radius_m": 0.4, **numbers})

    def look() -> None:
        seen.append((active(skid), shut(skid), skid.lit))

    skid.at(1.0, switch=False)
    look()
    skid.at(2.0, switch=True)
    for second in (3.5, 4.5, 6.0):
        skid.at(second)
        look()
    skid.at(10.0, left_on_ground=False, right_on_ground=False)
    look()
    skid.at(11.0, left_on_ground=True, right_on_ground=True)
    for second in (15.5, 16.5):
        skid.at(second)
        look()
    skid.at(17.0, braked=(1.0, 1.0))
    for speed in (145.0, 500.0, 220.0, 180.0, 330.0, 420.0, 110.0, 90.0):
        skid.after(1.0, speeds=(speed, 500.0, 500.0, 500.0))
        look()
    skid.after(1.0, speeds=(110.0,) * 4)
    look()
    for _ in range(8):  # at 40 kt a wheel with a radius of 0.4 m makes 491 revolutions a minute
        skid.after(0.5, speeds=(100.0,) * 4, ground_speed_kt=40.0, switch=True)
        look()
    for kt in (60.0, 20.0, 11.0, 20.0, 25.0):
        skid.after(0.1, switch=False)
        skid.after(0.1, switch=True, ground_speed_kt=kt, speeds=(kt * 12.3, *(50.0,) * 3))
        look()
    skid.after(0.1, switch=False)
    skid.after(0.1, switch=True, ground_speed_kt=40.0, speeds=(491.0, 491.0, 491.0, 900.0))
    for _ in range(12):
        skid.after(0.5)
        look()
    skid.fault("left_outer_antiskid", "failed")
    look()
    return seen


CHANGES: dict[str, Any] = {
    "spun_up_rpm": 140.0,
    "spun_up_hysteresis_rpm": 20.0,
    "touchdown_protection": False,
    "touchdown_timeout_s": 4.0,
    "locked_ratio": 0.5,
    "rolling_ratio": 0.6,
    "wheel_radius_m": None,
    "too_fast_ratio": 2.5,
    "low_speed_off_kt": 10.0,
    "low_speed_on_kt": 22.0,
    "sensor_fault_s": 2.0,
    "dump_limit_s": 3.0,
    "spin_up_limit_s": 2.0,
    "caution_delay_s": 0.0,
    "off_lamp_on_ground": False,
    "self_test_s": 3.0,
    "failure_colour": "red",
}


def test_every_number_changes_something() -> None:
    """``left_leg`` and ``right_leg`` are read by the composition: it asks their struts.

    ``accumulator_caution_s`` is read by the brakes (``brakes/antiskid_drain.py``).
    """
    elsewhere = {"left_leg", "right_leg", "accumulator_caution_s"}
    assert set(CHANGES) | elsewhere == set(AntiskidParameters.model_fields)
    plain = run()
    for name, value in CHANGES.items():
        assert run(**{name: value}) != plain, name


def test_what_each_publishes_before_the_first_step_has_a_place_for_every_wheel() -> None:
    skid = stage(first=False)
    for system in skid.loop.systems[1:3]:  # wheel locks, monitor
        places = [value for value in astuple(system.facts) if isinstance(value, tuple)]
        assert places
        assert [len(one) for one in places] == [len(NAMES)] * len(places), type(system).__name__
        assert not any(any(one) for one in places)


def test_a_parked_aircraft_that_is_found_so_did_not_land() -> None:
    """It waits for no wheel to spin up: only a touchdown that was seen begins that time."""
    skid = stage(spin_up_limit_s=3.0)
    skid.after(10.0, braked=(1.0, 1.0), ground_speed_kt=100.0)
    assert "antiskid_shut_down" not in skid.names


@pytest.mark.parametrize(
    ("on_ground", "state", "blocked"),
    [(False, "touch_in_air", True), (True, "touch_free", False), (None, "touch_free", False)],
)
def test_the_time_out_in_the_moment_of_a_bounce(
    on_ground: bool | None, state: str, blocked: bool
) -> None:
    landed = Protection((True, True), "touch_landed", 10.0)
    now = landed.after(10.0, on_ground=on_ground, spun_up=(False, False), timeout_s=5.0)
    assert (now.state, now.blocked) == (state, (blocked, blocked))
