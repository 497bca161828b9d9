"""The scenarios of every shipped aircraft: each folder is called after its aircraft file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import expectations_of, result_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_folder
from tests.bench.test_published_scenarios import SOURCE

SCENARIOS = shipped_folder() / "scenarios"
AIRCRAFT = sorted((shipped_folder() / "aircraft").glob("*.yaml"))
OTHERS = [path.stem for path in AIRCRAFT if (SCENARIOS / path.stem / "demo.yaml").is_file()]
FILES = [path for name in OTHERS for path in sorted((SCENARIOS / name).rglob("*.yaml"))]
NO_REAL_SOURCE = "common practice, no source"


def of_folder(path: Path) -> str:
    return f"{path.parent.name}/{path.stem}"


def test_every_folder_but_the_examples_is_of_an_aircraft_and_has_a_demonstration() -> None:
    folders = {path.name for path in SCENARIOS.iterdir() if path.is_dir()}
    assert folders - {"examples", "twin_jet"} == {*OTHERS} - {"twin_jet"}
    assert len(OTHERS) >= 2


@pytest.mark.parametrize("name", OTHERS)
def test_a_demonstration_on_its_panel_and_published_checks(name: str) -> None:
    folder = SCENARIOS / name
    (demo,) = load_scenarios(folder / "demo.yaml")
    assert demo.panel is not None
    assert expectations_of(demo) >= 5
    sources = {plan.source for path in folder.glob("*.yaml") for plan in load_scenarios(path)}
    assert len(sources - {NO_REAL_SOURCE}) >= 4


@pytest.mark.parametrize("path", FILES, ids=of_folder)
def test_it_passes_and_expects_something(path: Path) -> None:
    for plan in load_scenarios(path):
        assert expectations_of(plan), f"{plan.title} expects nothing"
        result = run_scenario(plan)
        assert result.passed, result_text(result)


@pytest.mark.parametrize("path", FILES, ids=of_folder)
def test_it_is_of_its_folder_and_names_its_source_and_schema(path: Path) -> None:
    text = path.read_text("utf-8")
    first = text.splitlines()[0]
    place = first.removeprefix("# yaml-language-server: $schema=")
    assert place != first
    assert (path.parent / place).is_file()
    named = re.search(r"^(?:aircraft|panel): \S*/(\w+?)(?:_panel)?\.yaml$", text, re.MULTILINE)
    assert named is not None
    assert named.group(1) == path.parent.name
    for plan in load_scenarios(path):
        assert SOURCE.search(plan.source), plan.source
