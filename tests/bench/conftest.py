"""What several tests of the bench begin with."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from tests.bench.made import TARGETS, Run
from tests.bench.plain import plain_config


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs the steps of a scenario of the plain twin jet, from a named start condition."""

    def run_steps(steps: str, start: str = "cruise clean", more: str = "") -> ScenarioResult:
        path = tmp_path / "scenario.yaml"
        aircraft = plain_config("aircraft/twin_jet.yaml").as_posix()
        head = f"kind: scenario\nformat: 2\nname: Test\naircraft: {aircraft}\n"
        path.write_text(f"{head}start: {start}\n{more}steps:\n{steps}", encoding="utf-8")
        return run_scenario(load_scenarios(path, TARGETS)[0])

    return run_steps
