from __future__ import annotations

from pathlib import Path

from panelbridge.bench.coverage import coverage_text
from panelbridge.bench.load_scenario import load_scenarios
from panelbridge.bench.runner import run_scenario
from panelbridge.logic.chart import all_states, all_transitions

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"


def _text(*names: str) -> list[str]:
    plans = [plan for name in names for plan in load_scenarios(SCENARIOS / name)]
    return coverage_text([run_scenario(plan) for plan in plans]).splitlines()


def _never(lines: list[str]) -> set[str]:
    return {line.split("never")[1].strip() for line in lines if line.startswith("      never")}


def _count(lines: list[str], label: str) -> tuple[int, int]:
    line = next(line for line in lines if line.strip().startswith(label))
    reached, _, of_all = line.removeprefix(f"  {label}").split()
    return int(reached), int(of_all)


def test_counts_and_what_is_missing_agree() -> None:
    lines = _text("examples/first_scenario.yaml")
    states = [state for _, state in all_states()]
    reached, of_all = _count(lines, "states of the logic")
    assert of_all == len(states)
    assert reached == len([state for state in states if state not in _never(lines)])
    assert _count(lines, "transitions of the logic")[1] == len(all_transitions())


def test_a_scenario_reaches_what_it_does_and_nothing_else() -> None:
    """The gear is raised, nothing is warned of, nothing breaks."""
    never = _never(_text("examples/first_scenario.yaml"))
    assert "leg_retracting" not in never
    assert "leg_down_locked -> leg_unlocking_to_retract" not in never
    assert "gear_locked_up" not in never
    assert {"leg_extending", "warn_silenced", "steering", "intermittent", "continuous"} <= never
    assert "gear_handle_contradicted" in never


def test_more_scenarios_reach_more() -> None:
    few = _never(_text("examples/first_scenario.yaml"))
    many = _never(_text("examples/first_scenario.yaml", "horn_table.yaml", "examples/faults.yaml"))
    assert many < few
    assert "continuous" not in many
