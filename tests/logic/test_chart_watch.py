"""Watching the charts, and what there is to see."""

from __future__ import annotations

import pytest

from panelbridge.logic.kit.chart import states_of, transitions_of, watch_charts
from panelbridge.logic.steering.system import SteeringChart
from panelbridge.logic.systems import CHARTS
from tests.logic.build import ground, on_ground, switches

Seen = list[tuple[str, str, str]]
ENGAGED = ("SteeringChart", "steer_off", "steer_engaged")
RELEASED = ("SteeringChart", "steer_engaged", "steer_off")


def test_changes_are_reported_in_order_and_nothing_else() -> None:
    seen: Seen = []
    with watch_charts(lambda *change: seen.append(change)):
        SteeringChart.after("steer_off", "release")  # does not matter now
        SteeringChart.after("steer_off", "engage")
        SteeringChart.after("steer_engaged", "release")
    assert seen == [ENGAGED, RELEASED]
    SteeringChart.after("steer_off", "engage")
    assert len(seen) == 2, "nothing watches any more"


def test_watchers_may_be_nested_and_go_when_an_error_comes() -> None:
    outer: Seen = []
    inner: Seen = []

    def fail() -> None:
        with watch_charts(lambda *change: inner.append(change)):
            SteeringChart.after("steer_off", "engage")
            raise ZeroDivisionError

    with watch_charts(lambda *change: outer.append(change)):
        with pytest.raises(ZeroDivisionError):
            fail()
        SteeringChart.after("steer_engaged", "release")
    assert inner == [ENGAGED]
    assert outer == [ENGAGED, RELEASED]


def test_all_states_and_transitions_are_listed() -> None:
    states, transitions = states_of(CHARTS), transitions_of(CHARTS)
    assert ("SteeringChart", "steer_off") in states
    charts = {chart for chart, _ in states}
    assert {"AirGroundChart", "DoorChart", "LegChart", "SelectionChart", "SilenceChart"} <= charts
    assert "LinkChart" not in charts, "of another room"
    assert list(states) == sorted(set(states))
    assert list(transitions) == sorted(set(transitions))
    assert [one for one in transitions if one[0] == "SteeringChart"] == [
        ("SteeringChart", "steer_engaged", "release", "steer_off"),
        ("SteeringChart", "steer_off", "engage", "steer_engaged"),
    ]
    for chart, left, _, entered in transitions:
        assert {(chart, left), (chart, entered)} <= set(states)
        assert left != entered, "a change to the same state would not be seen by a watcher"


def test_what_a_run_shows_is_among_what_is_listed() -> None:
    seen: Seen = []
    with watch_charts(lambda *change: seen.append(change)):
        bench = on_ground()
        bench.after(1.0, switches("up"))
        bench.after(1.0, aircraft=ground(gear_handle=None))
    listed = {(chart, left, entered) for chart, left, _, entered in transitions_of(CHARTS)}
    assert set(seen) <= listed
    assert ("SelectionChart", "sel_down", "sel_refused") in seen
