"""Every number of the gear warning changes something; silence controls; gates by themselves."""

from __future__ import annotations

from math import inf, nan
from typing import Any

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.gear_warning import GearWarningParameters
from panelbridge.logic.throttle_levers import ThrottleLevers
from panelbridge.logic.warning_gates import airspeed_gate, altitude_gate
from tests.logic.warning_stage import WarningStage

GATES = {"quiet_from_kias": 140.0, "inhibit_above_ft": 12000.0}


def story(numbers: dict[str, Any]) -> list[tuple[Any, ...]]:
    """One flight in which every number has its say: time, horn, pattern after every step."""
    bench = WarningStage({"throttle_approach_fraction": 0.79, **numbers})
    shown: list[tuple[Any, ...]] = []

    def step(**changes: Any) -> None:
        bench.after(0.27, **changes)
        shown.append((bench.shown, bench.warning.pattern, len(bench.events)))

    for levers in ((0.77, 0.9), (0.795, 0.9), (0.805, 0.9), (0.75, 0.9)):
        step(levers=levers)
        step()
    for button in ("lever_horn_silence", "horn_silence"):
        step(**{button: True})
        step(**{button: False})
        step(levers=(0.75, 0.75))
        step()
        step(**{button: True})
        step(**{button: False})
        for levers in ((0.95, 0.75), (0.83, 0.83), (0.88, 0.88), (0.75, 0.9)):
            step(levers=levers)
            step()
    for kias in (141.0, 145.0, 139.0, 120.0):
        step(kias=kias)
    for altitude_ft in (12100.0, 10400.0, 9900.0, 9000.0):
        step(altitude_ft=altitude_ft)
    step(levers=(0.95, 0.95))
    step()
    step(flap_deg=22.0)
    step(flap_deg=0.0)
    step(handle_up_on_ground=True)
    step(handle_up_on_ground=False)
    step()
    bench.after(0.04, levers=(0.75, 0.9))
    bench.after(0.06)
    shown.append(bench.shown)
    return shown


BASE = {**GATES}
OTHERS: dict[str, Any] = {
    "throttle_approach_fraction": 0.76,
    "throttle_hysteresis_fraction": 0.02,
    "throttle_settle_s": 0.05,
    "flap_limit_deg": 25.0,
    "rearm": "lever_advanced",
    "rearm_fraction": 0.9,
    "silence_allowed": False,
    "silence_controls": ["horn_silence"],
    "quiet_from_kias": None,
    "quiet_hysteresis_kias": 0.0,
    "inhibit_above_ft": 13000.0,
    "enable_below_ft": 10500.0,
    "shortest_sounding_s": 0.5,
    "ground_handle_warning": False,
    "throttle_pattern": "continuous",
    "flap_pattern": "intermittent",
    "ground_handle_pattern": "continuous",
}


def test_no_number_is_forgotten_here() -> None:
    assert set(OTHERS) == set(GearWarningParameters.model_fields)


@pytest.mark.parametrize("name", OTHERS)
def test_every_number_changes_what_is_heard(name: str) -> None:
    base: dict[str, Any] = dict(BASE)
    if name == "rearm_fraction":
        base |= {"rearm": "all_levers_advanced", "rearm_fraction": 0.86}
    assert story(base) == story(base)
    assert story({**base, name: OTHERS[name]}) != story(base)


def test_all_three_ways_to_rearm_differ() -> None:
    ways = ["any_retard", "lever_advanced", "all_levers_advanced"]
    told = [story({**BASE, "rearm_fraction": 0.86, "rearm": way}) for way in ways]
    assert told[0] != told[1] != told[2] != told[0]


@pytest.mark.parametrize("control", ["horn_silence", "lever_horn_silence"])
def test_only_the_listed_controls_silence(control: str) -> None:
    for listed, horn in (([control], 0), ([], 1)):
        bench = WarningStage({"silence_controls": listed}).levers(75, 90)
        assert bench.press(control).horn == horn
    other = ({"horn_silence", "lever_horn_silence"} - {control}).pop()
    bench = WarningStage({"silence_controls": [other]}).levers(75, 90)
    assert bench.press(control).horn == 1


def test_one_button_held_does_not_block_the_other() -> None:
    bench = WarningStage().levers(75, 90)
    bench.after(0.1, horn_silence=True)
    assert bench.levers(75, 75).horn == 1
    assert bench.after(0.1, lever_horn_silence=True).horn == 0


@pytest.mark.parametrize("control", ["horn_silence", "lever_horn_silence"])
def test_a_button_that_is_found_pressed_silences_nothing(control: str) -> None:
    bench = WarningStage().levers(75, 90)
    bench.after(0.1, **{control: None})
    assert bench.after(0.1, **{control: True}).horn == 1
    bench.after(0.1, **{control: False})
    assert bench.after(0.1, **{control: True}).horn == 0


def test_a_silenced_horn_says_since_when_and_until_when() -> None:
    words = {
        "any_retard": "since 0.220 s",
        "lever_advanced": "since 0.220 s, until a lever is opened",
        "all_levers_advanced": "since 0.220 s, until all levers > 0.86",
    }
    for rearm, told in words.items():
        bench = WarningStage({"rearm": rearm, "rearm_fraction": 0.86}).levers(75, 90)
        assert bench.detail("throttle warning silenced") == ""
        bench.press()
        assert bench.detail("throttle warning silenced") == told


def test_reasons_tell_what_inhibits() -> None:
    bench = WarningStage(GATES).levers(75, 90)
    airspeed = "airspeed inhibits the throttle warning"
    altitude = "altitude inhibits the throttle warning"
    assert bench.detail(airspeed) == "120 <= 143 knots"
    assert bench.detail(altitude) == "3000 <= 12000 feet"
    bench.after(1.0, kias=150.0, altitude_ft=None)
    assert bench.detail(airspeed) == "150 > 140 knots"
    assert bench.detail(altitude) == "unknown: does not inhibit"
    bench.after(1.0, altitude_ft=nan)
    assert bench.detail(altitude) == "unknown: does not inhibit"
    names = {reason.condition for reason in WarningStage().reasons()}
    assert not {airspeed, altitude, "throttle warning inhibited"} & names
    only = {reason.condition for reason in WarningStage({"inhibit_above_ft": 12000.0}).reasons()}
    assert {altitude, "throttle warning inhibited"} <= only
    assert airspeed not in only


def test_a_step_inside_a_band_asks_for_nothing() -> None:
    for gate in (airspeed_gate(140.0, 3.0), altitude_gate(12000.0, 10000.0)):
        assert gate.take(100.0)
        assert not any(gate.take(100.0 + step) for step in range(40))
    assert airspeed_gate(None, 3.0).take(100.0)
    for unused in (airspeed_gate(None, 3.0), altitude_gate(None, 10000.0)):
        for value in (0.0, 1e9, inf, None):
            unused.take(value)
            assert not unused.judge()
            assert not unused.inhibits


def test_a_lever_of_another_prefix_is_not_taken() -> None:
    timers = TimerHeap()
    made = [
        ThrottleLevers(
            1,
            limit_fraction=0.5,
            hysteresis_fraction=0.0,
            settle_s=0.1,
            timers=timers,
            timer_prefix=prefix,
        )
        for prefix in ("lever", "lever_advanced")
    ]
    for levers in made:
        levers.take(0.0, (0.9,))
        levers.take(1.0, (0.1,))
    assert len(timers) == 2
    due = timers.pop_due(2.0)
    assert due is not None
    assert due[1] == ("lever", 0)
    assert not made[1].timer_due(*due)
    assert made[0].timer_due(*due)
    assert (made[0].any_closed, made[1].any_closed) == (True, False)


def test_all_open_only_when_every_lever_is_known_to_be() -> None:
    levers = ThrottleLevers(
        2, limit_fraction=0.5, hysteresis_fraction=0.0, settle_s=0.0, timers=TimerHeap()
    )
    levers.take(0.0, (0.9, None))
    assert not levers.all_open
    levers.take(1.0, (0.9, 0.4))
    assert (bool(levers.all_open), levers.newly_opened) == (False, False), "found closed"
    levers.take(2.0, (0.9, 0.6))
    assert (bool(levers.all_open), bool(levers.newly_opened)) == (True, True)
