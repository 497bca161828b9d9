"""What the scenarios reached: every count agrees with what is listed as missing."""

from __future__ import annotations

import re
from pathlib import Path

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.coverage import coverage_text
from panelbridge.bench.verdict.trace import Samples, ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic.kit.chart import states_of, transitions_of
from panelbridge.logic.systems import CHARTS, EVENTS
from tests.bench.made import Maker

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"


def _run(*names: str) -> list[ScenarioResult]:
    plans = [plan for name in names for plan in load_scenarios(SCENARIOS / name)]
    return [run_scenario(plan) for plan in plans]


def _text(*names: str) -> list[str]:
    return coverage_text(_run(*names)).splitlines()


def _never(lines: list[str]) -> set[str]:
    return {line.split("never  ")[1] for line in lines if line.startswith("      never")}


def _block(lines: list[str], label: str) -> list[str]:
    """The line that begins so, and what it lists as never reached; single spaces."""
    start = next(place for place, line in enumerate(lines) if line.startswith(f"  {label}"))
    rest = lines[start + 1 :]
    count = next((n for n, line in enumerate(rest) if not line.startswith("      ")), len(rest))
    return [" ".join(line.split()) for line in lines[start : start + 1 + count]]


def test_the_way_of_a_leg_is_reported_state_by_state() -> None:
    """From locked down to locked up and nothing else; a turned arrow is another transition."""
    assert _block(_text("examples/first_scenario.yaml"), "chart: leg") == [
        "chart: leg 4 of 7 states, 3 of 15 transitions",
        "never leg_extending",
        "never leg_stopped",
        "never leg_unlocking_to_extend",
        "never leg_extending -> leg_down_locked",
        "never leg_extending -> leg_retracting",
        "never leg_extending -> leg_stopped",
        "never leg_retracting -> leg_extending",
        "never leg_retracting -> leg_stopped",
        "never leg_stopped -> leg_extending",
        "never leg_stopped -> leg_retracting",
        "never leg_unlocking_to_extend -> leg_extending",
        "never leg_unlocking_to_extend -> leg_up_locked",
        "never leg_unlocking_to_retract -> leg_down_locked",
        "never leg_up_locked -> leg_stopped",
        "never leg_up_locked -> leg_unlocking_to_extend",
    ]


def test_a_transition_is_named_from_where_it_came_to_where_it_went() -> None:
    [result] = _run("examples/first_scenario.yaml")
    legs = {edge for edge in result.trace.taken_transitions if edge.startswith("leg_")}
    assert legs == {
        "leg_down_locked -> leg_unlocking_to_retract",
        "leg_unlocking_to_retract -> leg_retracting",
        "leg_retracting -> leg_up_locked",
    }
    known = {f"{before} -> {after}" for _, before, _, after in transitions_of(CHARTS)}
    assert result.trace.taken_transitions <= known


def test_every_chart_has_its_line_and_the_sums_are_theirs() -> None:
    lines = _text("examples/first_scenario.yaml", "horn_table.yaml")
    charts = {chart for chart, _ in states_of(CHARTS)}
    edges = {(chart, before, after) for chart, before, _, after in transitions_of(CHARTS)}
    counts = [
        [int(number) for number in re.findall(r"\d+", line)]
        for line in lines
        if line.startswith("  chart: ")
    ]
    assert len(counts) == len(charts)
    reached, of_all, taken, of_edges = (sum(column) for column in zip(*counts, strict=True))
    assert _block(lines, "states of the logic") == [f"states of the logic {reached} of {of_all}"]
    assert (of_all, of_edges) == (len(states_of(CHARTS)), len(edges))
    assert 0 < reached < of_all
    assert _block(lines, "transitions of the logic") == [
        f"transitions of the logic {taken} of {of_edges}"
    ]
    assert 0 < taken < of_edges


def test_a_chart_that_no_scenario_has_is_reported_in_one_line() -> None:
    """An aircraft that has no doors."""
    lines = _text("gear_turned_round_at_once.yaml")
    [line, never] = _block(lines, "chart: door")
    assert line.startswith("chart: door 0 of ")
    assert never == "never used at all"
    assert not [n for n in _never(lines) if n.startswith("door_")]


def test_a_scenario_reaches_what_it_does_and_nothing_else() -> None:
    """The gear is raised, nothing is warned of, nothing breaks."""
    never = _never(_text("examples/first_scenario.yaml"))
    assert "gear_locked_up" not in never
    assert {"leg_extending", "warn_silenced", "intermittent", "continuous"} <= never
    assert "gear_handle_contradicted" in never


def test_events_and_faults_are_counted_apart() -> None:
    lines = _text("examples/first_scenario.yaml")
    listed = [*_block(lines, "events")[1:], *_block(lines, "faults")[1:]]
    [result] = _run("examples/first_scenario.yaml")
    happened = {event.name for event in result.trace.events}
    assert {line.removeprefix("never ") for line in listed} == set(EVENTS) - happened
    assert "never gear_handle_contradicted" in _block(lines, "faults")
    assert "never horn_sounded" in _block(lines, "events")


def test_a_dead_lamp_is_not_lit_whatever_the_logic_wants() -> None:
    maker = Maker()
    maker.dead.add("nose_red")
    maker.switch(lamp_test=True).wait(1.0)
    lines = coverage_text([maker.result]).splitlines()
    assert maker.result.trace.samples[-1].shown.outputs.lamps["nose_red"] > 0
    assert _block(lines, "lamps lit") == ["lamps lit, as they shone 9 of 10", "never nose_red"]
    assert _block(lines, "lamps dark") == ["lamps dark, as they shone 10 of 10"]


def test_a_lamp_that_never_goes_out_is_reported() -> None:
    maker = Maker()
    maker.trace.samples = Samples()
    maker.switch(lamp_test=True)
    lines = _block(coverage_text([maker.result]).splitlines(), "lamps dark")
    assert lines[0] == "lamps dark, as they shone 0 of 10"
    assert len(lines) == 11


def test_more_scenarios_reach_more() -> None:
    few = _never(_text("examples/first_scenario.yaml"))
    many = _never(_text("examples/first_scenario.yaml", "horn_table.yaml", "examples/faults.yaml"))
    assert many < few
    assert "continuous" not in many
