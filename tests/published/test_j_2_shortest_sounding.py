"""J-2: MIL-STD-1472E 5.3.4: a signal lasts half a second; J-4: it is intermittent by default.

B-1: 14 CFR 25.1322(a): an alert is removed when its condition no longer exists. The regulation
wins unless the aircraft file asks for a shortest time; then the horn, never a lamp, rings on.
"""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.gear_warning.rules import GROUND_HANDLE
from tests.logic.build import changed, flying_gear_up, on_ground, switches, twin
from tests.logic.warning_stage import WarningStage

HALF = {"shortest_sounding_s": 0.5}
CAUSES = [{"flap_deg": 30.0}, {"handle_up_on_ground": True}]
ENDS = {"flap_deg": 0.0, "handle_up_on_ground": False}


def end_of(cause: dict[str, Any]) -> dict[str, Any]:
    return {name: ENDS[name] for name in cause}


@pytest.mark.parametrize("cause", CAUSES)
def test_ten_milliseconds_sound_for_half_a_second(cause: dict[str, Any]) -> None:
    """MIL-STD-1472E 5.3.4: set off and cleared in 10 ms it sounds 0.5 s, without a lamp."""
    bench = WarningStage(HALF)
    bench.at(10.0, **cause)
    pattern = bench.pattern
    bench.at(10.01, **end_of(cause))
    assert bench.shown == (1, 0)
    bench.at(10.499)
    assert (bench.horn, bench.pattern) == (1, pattern)
    bench.at(10.5)
    assert bench.horn == 0
    assert bench.logged == [(10.0, "horn_sounded"), (10.5, "horn_stopped")]
    assert bench.stage.loop.next_due_s == float("inf")


def test_it_stops_at_its_own_time_however_seldom_it_is_looked_at() -> None:
    bench = WarningStage(HALF)
    bench.at(10.0, flap_deg=30.0)
    bench.at(10.01, flap_deg=0.0)
    bench.at(60.0)
    assert bench.logged == [(10.0, "horn_sounded"), (10.5, "horn_stopped")]


def test_ten_milliseconds_of_a_lever_are_rejected() -> None:
    """MIL-STD-1472E 5.3.4: "or is rejected by debounce": a lever that flickers sounds nothing."""
    for numbers in ({}, HALF):
        bench = WarningStage(numbers)
        bench.after(1.0, levers=(0.5, 0.9))
        bench.after(0.01, levers=(0.9, 0.9))
        bench.after(5.0)
        assert bench.logged == []


@pytest.mark.parametrize("cause", CAUSES)
def test_a_horn_that_was_long_enough_ends_with_its_condition(cause: dict[str, Any]) -> None:
    """14 CFR 25.1322(a)."""
    bench = WarningStage(HALF)
    bench.at(10.0, **cause)
    bench.at(10.5, **end_of(cause))
    assert bench.horn == 0
    assert bench.logged[-1] == (10.5, "horn_stopped")


@pytest.mark.parametrize("cause", CAUSES)
def test_by_default_the_condition_ends_it(cause: dict[str, Any]) -> None:
    """14 CFR 25.1322(a): the regulation outweighs the standard."""
    assert GearWarningParameters().shortest_sounding_s == 0.0
    bench = WarningStage()
    bench.at(10.0, **cause)
    bench.at(10.001, **end_of(cause))
    assert bench.shown == (0, 0)
    assert bench.logged == [(10.0, "horn_sounded"), (10.001, "horn_stopped")]


def test_every_occurrence_has_its_half_second() -> None:
    bench = WarningStage(HALF)
    bench.at(10.0, flap_deg=30.0)
    bench.at(10.01, flap_deg=0.0)
    bench.at(10.3, flap_deg=30.0)
    assert bench.shown == (1, 1)
    assert bench.stage.loop.next_due_s == float("inf"), "nothing waits while the rule sounds it"
    bench.at(10.31, flap_deg=0.0)
    bench.at(10.79)
    assert bench.horn == 1
    bench.at(10.8)
    assert bench.horn == 0
    assert [name for _, name in bench.logged] == ["horn_sounded", "horn_sounded", "horn_stopped"]


@pytest.mark.parametrize("control", ["horn_silence", "lever_horn_silence"])
def test_it_never_outlasts_a_press_of_the_silence(control: str) -> None:
    """14 CFR 25.1322(d): what was acknowledged is silent."""
    bench = WarningStage(HALF).levers(75, 90)
    bench.levers(90, 90)
    bench.after(1.0, levers=(0.75, 0.9))
    bench.after(0.11)
    bench.after(0.01, **{control: True})
    assert bench.shown == (0, 1), "a rule that holds"
    ringing = WarningStage(HALF)
    ringing.at(10.0, flap_deg=30.0)
    ringing.at(10.01, flap_deg=0.0)
    ringing.at(10.02, **{control: True})
    assert ringing.horn == 0, "one that has ended"
    assert ringing.logged[-1] == (10.02, "horn_stopped")
    ringing.after(1.0)
    assert len(ringing.logged) == 2
    during = WarningStage(HALF)
    during.at(10.0, flap_deg=30.0)
    during.at(10.01, **{control: True})
    assert during.horn == 1, "the flap rule is not silenced"
    during.at(10.02, flap_deg=0.0)
    assert during.horn == 0, "and does not outlast the press"


def test_where_silence_is_not_allowed_a_press_cuts_nothing() -> None:
    bench = WarningStage({**HALF, "silence_allowed": False})
    bench.at(10.0, flap_deg=30.0)
    bench.at(10.01, flap_deg=0.0)
    bench.at(10.02, horn_silence=True)
    assert bench.horn == 1


def test_gear_locked_down_ends_it_at_once() -> None:
    """14 CFR 23.729(f): with the gear locked down there is nothing to warn of."""
    bench = WarningStage(HALF)
    bench.at(10.0, flap_deg=30.0)
    bench.at(10.01, all_down=True)
    assert bench.horn == 0
    ringing = WarningStage(HALF)
    ringing.at(10.0, flap_deg=30.0)
    ringing.at(10.01, flap_deg=0.0)
    ringing.at(10.02, all_down=True)
    assert ringing.horn == 0


def test_a_warning_of_the_handle_is_given_with_the_gear_down_and_rings_on() -> None:
    """FAA Airplane Flying Handbook ch. 12 and MIL-STD-1472E together."""
    bench = WarningStage(HALF)
    bench.at(9.0, all_down=True)
    bench.at(10.0, handle_up_on_ground=True)
    bench.at(10.01, handle_up_on_ground=False)
    assert bench.horn == 1
    bench.at(10.2, all_down=True)
    assert bench.horn == 1
    bench.at(10.5)
    assert bench.horn == 0


def test_the_reasons_say_that_it_rings_on() -> None:
    bench = WarningStage(HALF)
    assert bench.detail("shortest time of the horn not over") == "0.5 s at least"
    bench.at(10.0, flap_deg=30.0)
    bench.at(10.01, flap_deg=0.0)
    rules = {r.condition: r.holds for r in bench.reasons() if r.condition.startswith("rule: ")}
    assert rules.pop("rule: shortest time of the horn not over")
    assert not any(rules.values())
    plain = {r.condition for r in WarningStage().reasons()}
    assert not {"rule: shortest time of the horn not over"} & plain


def test_the_whole_panel_rings_on() -> None:
    bench = flying_gear_up(twin(gear_warning=HALF))
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    bench.after(0.01, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert (bench.horn, bench.lit) == ("continuous", set())
    assert any(r.holds for r in bench.logic.reasons("horn") if r.condition.startswith("rule: "))
    bench.after(0.5)
    assert bench.horn == "silent"
    assert bench.logic.next_due_s == float("inf")
    standing = on_ground(twin(gear_warning=HALF))
    standing.after(1.0, switches("up"))
    standing.after(0.01, switches("down"))
    assert standing.horn == "intermittent"


def test_it_is_pulsed_unless_the_file_says_otherwise() -> None:
    """J-4, TM 1-1510-218-10: intermittent by default; flaps only are the continuous class."""
    parameters = GearWarningParameters()
    assert parameters.throttle_pattern == "intermittent"
    assert parameters.ground_handle_pattern == "intermittent"
    bench = WarningStage().levers(75, 90)
    assert bench.pattern.value == "intermittent"
    steady = WarningStage({"throttle_pattern": "continuous"}).levers(75, 90)
    assert steady.pattern.value == "continuous"
    handle = WarningStage()
    handle.after(1.0, handle_up_on_ground=True)
    assert handle.pattern.value == "intermittent"
    assert GROUND_HANDLE in handle.stage.events[-1].text
