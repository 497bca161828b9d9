"""Every number of the gear warning changes something; silence controls; gates by themselves."""

from __future__ import annotations

from math import nan
from typing import Any

import pytest

from panelbridge.logic.gear_warning.facts import WarningFacts
from panelbridge.logic.gear_warning.gates import gates_of
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.kit.world import World
from tests.logic.warning_stage import WarningStage

GATES = {"quiet_from_kias": 140.0, "inhibit_above_ft": 12000.0}


def story(numbers: dict[str, Any]) -> list[tuple[Any, ...]]:
    """One flight in which every number has its say: time, horn, pattern after every step."""
    bench = WarningStage({"throttle_approach_fraction": 0.79, **numbers})
    shown: list[tuple[Any, ...]] = []

    def step(**changes: Any) -> None:
        bench.after(0.27, **changes)
        shown.append((bench.shown, bench.pattern, len(bench.logged)))

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
    step(horn_silence=True)
    step(horn_silence=False)
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
    "ground_handle_silence": True,
    "power_by": "n1",
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
    reported = [story({**BASE, "rearm_fraction": 0.86, "rearm": way}) for way in ways]
    assert reported[0] != reported[1] != reported[2] != reported[0]


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
    for rearm, reported in words.items():
        bench = WarningStage({"rearm": rearm, "rearm_fraction": 0.86}).levers(75, 90)
        assert bench.detail("throttle warning silenced") == ""
        bench.press()
        assert bench.detail("throttle warning silenced") == reported


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


def test_only_an_aircraft_with_a_gate_has_one() -> None:
    plain = GearWarningParameters()
    assert gates_of(plain) == ()
    assert [what for _, what, _ in gates_of(GearWarningParameters.model_validate(GATES))] == [
        "airspeed",
        "altitude",
    ]
    bench = WarningStage().levers(75, 90)
    for name in ("kias", "altitude_ft"):
        for value in (0.0, 1e9, None):
            assert bench.after(1.0, **{name: value}).horn == 1


def test_numbers_between_their_limits_wake_nothing() -> None:
    """A step in which nothing crosses a limit is not looked at; one in which it does, once."""
    bench = WarningStage(GATES).levers(90, 90)
    system, count = bench.stage.system, 0
    update = system.update

    def counted(now_s: float, world: World) -> WarningFacts:
        nonlocal count
        count += 1
        return update(now_s, world)

    system.update = counted  # type: ignore[method-assign]
    for step in range(40):
        step_more = step / 40
        bench.after(
            *(0.02,),
            kias=100.0 + step,
            altitude_ft=9000.0 + step,
            flap_deg=20.0 * step_more,
            levers=(0.80 + 0.2 * step_more, 1.0 - 0.2 * step_more),
        )
    assert count == 0
    assert bench.after(0.02, kias=143.0).horn == 0
    assert bench.after(0.02, kias=160.0, flap_deg=20.1).horn == 1
    assert count == 2


def test_each_rule_can_be_switched_off_with_null() -> None:
    """Then it sounds nothing whatever happens, and the other one goes on."""
    bench = WarningStage({"throttle_approach_fraction": None, "flap_limit_deg": 17.0})
    bench.levers(0, 0)
    assert bench.horn == 0
    bench.after(1.0, flap_deg=30.0)
    assert bench.horn == 1
    bench = WarningStage({"flap_limit_deg": None})
    bench.after(1.0, flap_deg=90.0)
    assert bench.horn == 0
    words = bench.stage.system.words(bench.stage.loop.world(bench.now_s))
    assert words["flaps_beyond"][0].detail == "not watched"
    bench.levers(0, 0)
    assert bench.horn == 1
