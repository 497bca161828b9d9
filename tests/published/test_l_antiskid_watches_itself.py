"""L-12 to L-16, L-18: anti-skid that watches itself; the pressure in the brakes at each moment.

Conserved: what the pedals ask of a wheel reaches it, unless anti-skid lets it go. Limits: no wheel
is let go for longer than 2 s, nor waits longer than 2.5 s after a touchdown. By hand: a wheel with
a radius of 0.4 m turns (100 * 1852 / 60) / (2 pi * 0.4) = 1228 times a minute at 100 kt; 0.3 of
that is 368; 8.6 * sqrt(24) = 42 kt.
"""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.logic.antiskid.wheel_locks import RPM_METRES_PER_KT
from tests.logic.spread_stage import SpreadStage
from tests.logic.test_antiskid import FAST, NAMES, NONE, STILL, flying, rolling, shut, word

EACH = (True,) * 4
WATCHING: dict[str, Any] = {
    "sensor_fault_s": 3.0,
    "dump_limit_s": 2.0,
    "spin_up_limit_s": 3.0,
    "touchdown_timeout_s": 2.5,
    "wheel_radius_m": 0.4,
    "locked_ratio": 0.3,
}


def fast_roll(**more: Any) -> SpreadStage[Any]:
    """At 100 kt with both pedals down."""
    skid = rolling(**{**WATCHING, **more})
    skid.after(1.0, ground_speed_kt=100.0, speeds=(1228.0,) * 4)
    return skid


def lamps(skid: SpreadStage[Any]) -> list[bool]:
    return [f"{name}_antiskid_amber" in skid.lit for name in NAMES]


# -- L-12 ------------------------------------------------------------------------------------------


def test_brakes_after_two_and_a_half_seconds_or_with_the_wheels() -> None:
    """L-12, US Navy P-861: whichever comes first; a bounce restarts the time (our own choice)."""
    skid = flying(**WATCHING)
    skid.at(10.0, left_on_ground=True, right_on_ground=True)
    skid.at(10.3, speeds=(600.0, 0.0, 0.0, 0.0))
    assert shut(skid) == (False, True, True, True)
    skid.at(11.0, left_on_ground=False, speeds=STILL)
    skid.at(11.5, left_on_ground=True)
    skid.at(12.49)
    assert shut(skid) == EACH
    skid.at(12.5)
    assert shut(skid) == (True, True, False, False)
    skid.at(13.99)
    assert shut(skid) == (True, True, False, False)
    skid.at(14.0)
    assert shut(skid) == NONE
    assert skid.logged[:2] == [
        (12.5, "brakes_free_by_time", ""),
        (13.0, "antiskid_shut_down", "right_inner"),
    ]


# -- L-13 ------------------------------------------------------------------------------------------


def test_slowing_down_it_drops_out_once_between_thirteen_and_ten_knots() -> None:
    """L-13, US Navy 1278BK1: 60 to 0 kt with a locked wheel; it arms above 30 kt again."""
    skid = fast_roll(dump_limit_s=None, sensor_fault_s=None)

    def sweep(speeds_kt: range) -> list[int]:
        turned, before = [], shut(skid)[0]
        for kt in speeds_kt:
            rpm = kt * RPM_METRES_PER_KT / 0.4
            skid.after(0.1, ground_speed_kt=float(kt), speeds=(0.0, rpm, rpm, rpm))
            if shut(skid)[0] is not before:
                before = not before
                turned.append(kt)
        return turned

    assert sweep(range(60, -1, -1)) == [60, 12]
    assert sweep(range(61)) == [31]


# -- L-14 ------------------------------------------------------------------------------------------


def test_a_dump_of_almost_two_seconds_trips_nothing() -> None:
    """L-14, US Navy 1278BK1 limitation c: 1.9 s."""
    skid = fast_roll()
    start_s = skid.now_s
    skid.at(start_s, speeds=STILL)
    assert shut(skid) == EACH
    skid.at(start_s + 1.9, speeds=(1228.0,) * 4)
    skid.at(start_s + 5.0)
    assert shut(skid) == NONE
    assert lamps(skid) == [False] * 4
    assert "antiskid_shut_down" not in skid.names


def test_a_longer_dump_shuts_it_down_and_the_brakes_come_back() -> None:
    """L-14: after 2 s manual braking returns, the lamp 1 s later; until it is switched off and on.

    All wheels at once, which the pairs alone do not see (L-15, L-16).
    """
    skid = fast_roll()
    start_s = skid.now_s
    skid.at(start_s, speeds=STILL)
    skid.at(start_s + 1.99)
    assert shut(skid) == EACH
    skid.at(start_s + 2.0)
    assert shut(skid) == NONE, "fail-safe is brakes that work"
    assert word(skid) == "failed"
    skid.at(start_s + 2.99)
    assert lamps(skid) == [False] * 4
    skid.at(start_s + 3.0)
    assert lamps(skid) == [True] * 4
    skid.at(start_s + 10.0, speeds=(1228.0,) * 4)
    skid.at(start_s + 60.0)
    assert lamps(skid) == [True] * 4, "it is latched"
    skid.at(start_s + 61.0, switch=False)
    assert lamps(skid) == [True] * 4, "off it is shown too"
    skid.at(start_s + 62.0, switch=None)
    skid.at(start_s + 63.0, switch=True)
    skid.at(start_s + 70.0)
    assert lamps(skid) == [False] * 4
    assert word(skid) == "active"
    assert skid.names.count("antiskid_monitor_reset") == 1


def test_power_that_comes_back_resets_nothing() -> None:
    """L-14: reset by cycling the switch; a board that comes back is no cycle (our own decision)."""
    skid = fast_roll()
    skid.after(0.0, speeds=STILL)
    skid.after(2.0)
    for change in ({"bus_powered": False}, {"switch": None}):
        skid.after(1.0, **change)
        skid.after(1.0, bus_powered=True, switch=True)
        assert word(skid) == "failed"


def test_brakes_that_are_free_by_time_are_not_taken_away_again() -> None:
    """L-12, L-14: at 110 kt wheels that never turned are braked from 2.5 s on, watched or not."""
    skid = flying(**WATCHING)
    skid.at(10.0, left_on_ground=True, right_on_ground=True, ground_speed_kt=110.0)
    for second in (12.5, 12.9, 13.5):
        skid.at(second)
        assert shut(skid) == NONE
    assert "locked_wheel_let_go" not in skid.names


def test_no_spin_up_for_three_seconds_after_the_touchdown() -> None:
    """L-14: the system shuts down, the caution comes 1 s later."""
    skid = flying(**WATCHING)
    skid.at(10.0, left_on_ground=True, right_on_ground=True, ground_speed_kt=110.0)
    skid.at(12.0, speeds=(700.0, 0.0, 0.0, 0.0))
    skid.at(12.99)
    assert word(skid, "left_inner") != "failed"
    skid.at(13.0)
    assert [word(skid, name) for name in NAMES][1:] == ["failed"] * 3
    assert shut(skid)[1:] == NONE[1:]
    skid.at(13.99)
    assert lamps(skid) == [False] * 4
    skid.at(14.0)
    assert lamps(skid) == [False, True, True, True]


# -- L-15, L-16 ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("slower", "goes"), [(80.0, False), (39.0, True), (41.0, False)])
def test_a_wheel_is_compared_with_its_partner(slower: float, goes: bool) -> None:
    """L-15, US Navy P-1239 (compare with the partner); half of it is from memory."""
    skid = rolling(**{**WATCHING, "locked_ratio": 0.5, "spun_up_rpm": 60.0})
    skid.after(1.0, speeds=(80.0, slower, 80.0, 80.0))
    assert shut(skid)[1] is goes


@pytest.mark.parametrize(
    ("kt", "radius_m", "goes"),
    [(100.0, 0.4, True), (42.1, 0.4, True), (100.0, None, False), (None, 0.4, False)],
)
def test_all_wheels_locked_together(kt: float | None, radius_m: float | None, goes: bool) -> None:
    """L-15, L-16 (FAA-H-8083-3): pairs alone do not see it; 8.6 sqrt(24 psi) is 42.1 kt."""
    skid = rolling(**{**WATCHING, "wheel_radius_m": radius_m})
    skid.after(0.5, ground_speed_kt=kt)
    skid.after(0.5, speeds=STILL)
    assert shut(skid) == (EACH if goes else NONE)
    if goes and kt is not None:
        rpm = kt * RPM_METRES_PER_KT / 0.4
        skid.after(0.5, speeds=(rpm * 0.79,) * 4)
        assert shut(skid) == EACH
        skid.after(0.5, speeds=(rpm * 0.81,) * 4)
        assert shut(skid) == NONE


def test_the_reference_by_hand() -> None:
    """L-15: at 100 kt and a radius of 0.4 m 0.3 of the wheel's speed is 368 a minute."""
    assert pytest.approx(1228.0, abs=0.5) == RPM_METRES_PER_KT * 100.0 / 0.4
    skid = fast_roll()
    skid.after(0.1, speeds=(369.0,) * 4)
    assert shut(skid) == NONE
    skid.after(0.1, speeds=(368.0,) * 4)
    assert shut(skid) == EACH


# -- L-18 ------------------------------------------------------------------------------------------


def test_a_sensor_that_is_lost() -> None:
    """L-18, 25.735(e) before 2002: braked by hand, its lamp, and the others go on."""
    skid = fast_roll()
    start_s = skid.now_s
    skid.at(start_s, speeds=(None, *(1228.0,) * 3))
    skid.at(start_s + 2.9)
    assert lamps(skid) == [False] * 4
    skid.at(start_s + 3.0)
    assert lamps(skid) == [True, False, False, False]
    assert word(skid) == "failed"
    assert shut(skid) == NONE
    assert skid.system.failures() == ("anti-skid failed on the left outer wheel: no wheel speed",)
    skid.at(start_s + 4.0, speeds=(1228.0,) * 4)
    assert lamps(skid) == [False] * 4, "the speed is back"


def test_a_sensor_that_dies_while_its_partners_turn() -> None:
    """L-18: let go as a locked wheel for 2 s; then by hand; it is the sensor while it stands on."""
    skid = fast_roll()
    start_s = skid.now_s
    dead = (0.0, *(1228.0,) * 3)
    skid.at(start_s, speeds=dead)
    assert shut(skid) == (True, False, False, False)
    skid.at(start_s + 2.0)
    assert shut(skid) == NONE
    skid.at(start_s + 3.0)
    assert lamps(skid) == [True, False, False, False]
    skid.after(1.0, switch=False)
    skid.after(0.5, switch=True)
    skid.after(1.0)
    assert word(skid) == "failed", "the sensor is still dead, whatever the switch does"
    skid.after(1.0, speeds=STILL, ground_speed_kt=0.0)
    assert word(skid) == "failed", "at rest nobody can tell: it stays"
    skid.after(1.0, speeds=(20.0,) * 4)
    assert word(skid) == "armed", "it was seen to turn"


def test_a_dead_sensor_is_found_without_a_pedal_too() -> None:
    """L-18: before the pedals are pressed."""
    skid = fast_roll()
    skid.after(0.0, braked=(0.0, 0.0))
    skid.after(0.0, speeds=(1228.0, 0.0, 1228.0, 1228.0))
    skid.after(3.0, braked=(1.0, 1.0))
    assert shut(skid) == NONE
    assert lamps(skid) == [False, True, False, False]


@pytest.mark.parametrize(
    "change",
    [
        {"switch": False},
        {"parked": True},
        {"emergency_braking": True},
        {"ground_speed_kt": 5.0},
        {"left_on_ground": False},
        {"speeds": STILL},
        {"bus_powered": False},
    ],
)
def test_a_wheel_that_may_stand_is_not_judged(change: dict[str, Any]) -> None:
    """L-18: no failure where a wheel may really be locked, or nothing turns."""
    skid = fast_roll(dump_limit_s=None)
    skid.after(0.0, **{"speeds": (0.0, *(1228.0,) * 3), **change})
    skid.after(10.0)
    assert not any(sensor.found for sensor in sensors(skid))


def sensors(skid: SpreadStage[Any]) -> Any:
    """What the sensors' system keeps."""
    return skid.loop.systems[0].memory


def test_a_sensor_that_reads_too_much_takes_no_brakes() -> None:
    """L-18: 4500 where 1228 are possible: no reference for the others, and its own lamp."""
    skid = fast_roll()
    start_s = skid.now_s
    skid.at(start_s, speeds=(4500.0, *(1228.0,) * 3))
    assert shut(skid) == NONE
    skid.at(start_s + 2.9)
    assert word(skid) == "active"
    skid.at(start_s + 3.0)
    assert word(skid) == "failed"
    skid.at(start_s + 4.0)
    assert lamps(skid) == [True, False, False, False]
    assert shut(skid) == NONE


def test_without_the_speed_over_the_ground_the_others_are_back_after_two_seconds() -> None:
    """L-18, L-14: the limit of the dump bounds what one wrong sensor can do."""
    skid = fast_roll(wheel_radius_m=None)
    start_s = skid.now_s
    skid.at(start_s, speeds=(9000.0, *(1228.0,) * 3))
    assert shut(skid) == (False, True, True, True)
    skid.at(start_s + 2.0)
    assert shut(skid) == NONE


@pytest.mark.parametrize("side", [0, 1])
def test_a_strut_unknown_on_one_side(side: int) -> None:
    """L-18: the lamps of that side, by hand; the other side goes on."""
    skid = fast_roll()
    name = ("left", "right")[side]
    skid.after(0.0, **{f"{name}_on_ground": None})
    skid.after(3.0)
    assert lamps(skid) == [side == 0, side == 0, side == 1, side == 1]
    skid.after(1.0, speeds=tuple(0.0 if n // 2 == side else 1228.0 for n in range(4)))
    assert shut(skid) == NONE, "what it cannot watch it does not let go"


def test_without_any_data_nothing_is_said() -> None:
    """Our own decision: a simulator that is not there is told elsewhere."""
    skid = fast_roll()
    skid.after(1.0, speeds=(), left_on_ground=None, right_on_ground=None)
    skid.after(10.0)
    assert lamps(skid) == [False] * 4


def test_all_sensors_lost_at_the_touchdown() -> None:
    """L-12, L-14, L-18: lamps, brakes after the time-out, and it is said."""
    skid = flying(**WATCHING)
    skid.at(10.0, left_on_ground=True, right_on_ground=True, speeds=())
    skid.at(12.49)
    assert shut(skid) == EACH
    skid.at(12.5)
    assert shut(skid) == NONE
    skid.at(13.0)
    assert lamps(skid) == [True] * 4
    assert skid.logged[:2] == [
        (12.5, "brakes_free_by_time", ""),
        (12.5, "brakes_free_by_time", ""),
    ]
    assert set(skid.logged[2:]) == {(13.0, "antiskid_failed", name) for name in NAMES}
    assert "no wheel speed" in skid.events[-1].text


def test_lost_in_the_air_the_brakes_still_wait_for_the_touchdown() -> None:
    """L-18: a wheel that cannot be seen is free with the first other one of its side."""
    skid = flying(**WATCHING)
    skid.at(5.0, speeds=(None, 0.0, None, None))
    skid.at(9.0)
    assert lamps(skid) == [True, False, True, True]
    assert shut(skid) == EACH
    skid.at(10.0, left_on_ground=True, right_on_ground=True)
    skid.at(10.5, speeds=(None, 600.0, None, None))
    assert shut(skid) == (False, False, True, True)
    skid.at(12.5)
    assert shut(skid) == NONE


def test_each_of_them_can_be_switched_off() -> None:
    """Each published limit is null for an aircraft without."""
    none = dict.fromkeys(("sensor_fault_s", "dump_limit_s", "spin_up_limit_s", "too_fast_ratio"))
    skid = fast_roll(**none, low_speed_off_kt=None)
    skid.after(0.0, ground_speed_kt=5.0, speeds=(0.0, *FAST[1:]))
    skid.after(60.0)
    assert shut(skid) == (True, False, False, False)
    assert lamps(skid) == [False] * 4
