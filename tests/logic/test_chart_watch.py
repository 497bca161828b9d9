"""Watching the charts, and what there is to see."""

from __future__ import annotations

import pytest

from panelbridge.logic.chart import all_states, all_transitions, watch_charts
from panelbridge.logic.legs import LegChart
from panelbridge.logic.steering import SteeringChart
from tests.logic.build import ground, on_ground, switches

Seen = list[tuple[str, str, str]]


def test_starts_and_changes_are_told_in_order_and_nothing_else() -> None:
    seen: Seen = []
    with watch_charts(lambda *told: seen.append(told)):
        chart = SteeringChart()
        chart.send_trigger("release")  # does not matter now
        chart.send_trigger("engage")
        chart.send_trigger("release")
        LegChart(start_value="leg_up_locked")
    assert seen == [
        ("SteeringChart", "", "steer_off"),
        ("SteeringChart", "steer_off", "steer_engaged"),
        ("SteeringChart", "steer_engaged", "steer_off"),
        ("LegChart", "", "leg_up_locked"),
    ]
    chart.send_trigger("engage")
    SteeringChart()
    assert len(seen) == 4, "nobody watches any more"


def test_watchers_may_be_nested_and_go_when_an_error_comes() -> None:
    outer: Seen = []
    inner: Seen = []
    chart = SteeringChart()

    def fail() -> None:
        with watch_charts(lambda *told: inner.append(told)):
            chart.send_trigger("engage")
            raise ZeroDivisionError

    with watch_charts(lambda *told: outer.append(told)):
        with pytest.raises(ZeroDivisionError):
            fail()
        chart.send_trigger("release")
    engaged = ("SteeringChart", "steer_off", "steer_engaged")
    released = ("SteeringChart", "steer_engaged", "steer_off")
    assert inner == [engaged]
    assert outer == [engaged, released]


def test_all_states_and_transitions_are_listed() -> None:
    states, transitions = all_states(), all_transitions()
    assert ("SteeringChart", "steer_off") in states
    charts = {chart for chart, _ in states}
    assert {"AirGroundChart", "DoorChart", "LegChart", "SelectionChart", "SilenceChart"} <= charts
    assert "LinkChart" not in charts, "of another room"
    assert list(states) == sorted(set(states))
    assert list(transitions) == sorted(set(transitions))
    assert [t for t in transitions if t[0] == "SteeringChart"] == [
        ("SteeringChart", "steer_engaged", "steer_off"),
        ("SteeringChart", "steer_off", "steer_engaged"),
    ]
    assert ("SilenceChart", "warn_silenced", "warn_sounding") in transitions
    for chart, left, entered in transitions:
        assert {(chart, left), (chart, entered)} <= set(states)
        assert left != entered, "a change to the same state would not be seen by a watcher"


def test_what_a_run_shows_is_among_what_is_listed() -> None:
    seen: Seen = []
    with watch_charts(lambda *told: seen.append(told)):
        bench = on_ground()
        bench.after(1.0, switches("up"))
        bench.after(1.0, aircraft=ground(gear_handle=None))
    entered = {(chart, state) for chart, _, state in seen}
    assert entered <= set(all_states())
    assert {told for told in seen if told[1]} <= set(all_transitions())
    assert ("SelectionChart", "sel_down", "sel_refused") in seen
