"""Master warning and master caution: the system by itself.

Conserved: occurrences. Each one lights its master, and is waiting until one reset takes it: what is
waiting is what was noted less what was noted before the last reset.
Limits: no reset leaves a light on; no alert leaves it dark; nothing else changes either.
By hand: warnings at 1, 2 and 3 s wait as 1, 2, 3; a reset at 4 s leaves 0; one at 5 s is 1 again.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.alerts.parameters import AlertsParameters
from panelbridge.logic.alerts.system import MasterAlerts
from panelbridge.logic.kit.noted import NOTED, Noted
from panelbridge.signals import Event, Level
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.stage import Stage

WARNING, CAUTION = "master_warning_red", "master_caution_amber"
LEVELS = {level.value: handle for level, handle in NOTED.items()}


def stage(**numbers: Any) -> Stage[MasterAlerts]:
    return Stage(MasterAlerts(AlertsParameters(**numbers)), LEVELS)


def noted(level: str, count: int, text: str = "x", time_s: float = 0.0) -> dict[str, Noted]:
    return {level: Noted(count, Event(time_s, "x", Level(level), text))}


@pytest.mark.parametrize(
    ("level", "lamp"), [("warning", WARNING), ("caution", CAUTION), ("fault", CAUTION)]
)
def test_each_level_lights_its_master_until_the_reset(level: str, lamp: str) -> None:
    masters = stage()
    assert masters.at(0.0).facts.warnings == 0
    masters.after(1.0, master_reset=False)
    waiting = []
    for count in (1, 2, 3):
        masters.after(1.0, **noted(level, count))
        masters.hold()
        waiting.append(masters.facts.warnings + masters.facts.cautions)
        assert masters.lit == {lamp}
    assert waiting == [1, 2, 3]
    masters.press("master_reset")
    masters.hold()
    assert masters.lit == set()
    assert masters.names == [f"{lamp.rpartition('_')[0]}_reset"]
    masters.after(1.0, **noted(level, 4))
    assert masters.lit == {lamp}
    assert masters.facts.warnings + masters.facts.cautions == 1


def test_an_alert_of_the_instant_of_the_reset_is_a_new_one() -> None:
    masters = stage()
    masters.after(1.0, master_reset=False, **noted("warning", 1))
    masters.after(1.0, master_reset=True, **noted("warning", 2))
    assert masters.lit == {WARNING}
    assert masters.facts.warnings == 1


def test_a_reset_that_is_held_or_found_pressed_acknowledges_nothing_more() -> None:
    masters = stage()
    masters.after(1.0, master_reset=True, **noted("warning", 1))
    assert masters.lit == {WARNING}, "found pressed"
    masters.after(1.0, master_reset=None)
    masters.after(1.0, master_reset=True)
    assert masters.lit == {WARNING}, "its board came back"
    masters.after(1.0, master_reset=False)
    masters.after(1.0, master_reset=True)
    assert masters.lit == set()
    masters.after(1.0, **noted("caution", 1))
    assert masters.lit == {CAUTION}, "held"


def test_a_reset_with_nothing_to_reset_is_no_event() -> None:
    masters = stage()
    masters.after(1.0, master_reset=False)
    masters.press("master_reset")
    assert masters.names == []


def test_two_resets_take_each_its_own() -> None:
    masters = stage(separate_resets=True)
    assert [one.name for one in masters.system.switches] == [
        "master_warning_reset",
        "master_caution_reset",
    ]
    both = {**noted("warning", 1), **noted("fault", 1)}
    masters.after(1.0, master_warning_reset=False, master_caution_reset=False, **both)
    assert masters.lit == {WARNING, CAUTION}
    masters.press("master_caution_reset")
    assert masters.lit == {WARNING}
    masters.press("master_warning_reset")
    assert masters.lit == set()


@pytest.mark.parametrize(
    ("numbers", "level"),
    [
        ({"master_warning": False}, "warning"),
        ({"master_caution": False}, "caution"),
        ({"master_caution": False}, "fault"),
        ({"faults_raise_caution": False}, "fault"),
    ],
)
def test_what_the_file_switches_off_lights_nothing(numbers: dict[str, bool], level: str) -> None:
    masters = stage(**numbers)
    masters.after(1.0, **noted(level, 1))
    masters.hold()
    assert masters.lit == set()


def test_lamps_values_and_buttons_of_a_light_that_is_not_there_are_not_there() -> None:
    alone = stage(master_caution=False, separate_resets=True).system
    assert [lamp.name for lamp in alone.lamps] == [WARNING]
    assert [one.name for one in alone.values] == ["warnings_not_reset"]
    assert [one.name for one in alone.switches] == ["master_warning_reset"]


def test_the_reason_is_the_last_alert() -> None:
    masters = stage()
    masters.after(1.0, **noted("caution", 1, "the first", 1.0))
    masters.after(1.0, **noted("fault", 1, "the second", 2.0))
    words = masters.system.words(masters.loop.world(masters.now_s))
    assert words["is_caution"][0].detail == "2, the last: the second"
    assert words["is_warning"][0].detail == "none since the reset"
    assert words["is_warning"][0].condition == "a warning not acknowledged"
    masters.after(1.0, **noted("caution", 2, "the third", 3.0))
    words = masters.system.words(masters.loop.world(masters.now_s))
    assert words["is_caution"][0].detail == "3, the last: the third"


MOVES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.5, 3.0]),
        st.sampled_from(["warning", "caution", "fault", "press", "release", "lose"]),
    ),
    max_size=30,
)


def moments(moves: list[tuple[float, str]]) -> list[tuple[float, dict[str, Any]]]:
    counts = dict.fromkeys(LEVELS, 0)
    found: list[tuple[float, dict[str, Any]]] = []
    for wait_s, what in moves:
        if what in counts:
            counts[what] += 1
            found.append((wait_s, noted(what, counts[what], what)))
        else:
            pressed = {"press": True, "release": False}.get(what)
            found.append((wait_s, {"master_reset": pressed}))
    return found


@settings(deadline=None)
@given(moves=MOVES)
def test_no_light_stays_dark_after_a_new_occurrence(moves: list[tuple[float, str]]) -> None:
    """And none is lit that was not raised since the last reset."""
    masters, waiting, on, armed = stage(), {WARNING: 0, CAUTION: 0}, False, False
    for (_, what), (wait_s, changes) in zip(moves, moments(moves), strict=True):
        masters.after(wait_s, **changes)
        masters.hold()
        if what in LEVELS:
            waiting[WARNING if what == "warning" else CAUTION] += 1
        else:
            if what == "press" and armed and not on:
                waiting = dict.fromkeys(waiting, 0)
            on = what == "press"
            armed = armed if on else what == "release"
        assert masters.lit == {lamp for lamp, count in waiting.items() if count}
        assert [masters.facts.warnings, masters.facts.cautions] == [*waiting.values()]


@settings(deadline=None)
@given(moves=MOVES, fine=st.integers(1, 3))
def test_more_steps_change_nothing(moves: list[tuple[float, str]], fine: int) -> None:
    extra_looks_change_nothing(stage, moments(moves), fine)


@settings(deadline=None)
@given(moves=MOVES, cut=st.integers(0, 30))
def test_restored_it_goes_on_the_same(moves: list[tuple[float, str]], cut: int) -> None:
    restored_goes_on_the_same(stage, moments(moves), cut)
