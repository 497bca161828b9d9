"""The documentation of the language shows the example files as they are, and leaves nothing out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.name_list import signal_tables
from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import FaultKind
from panelbridge.bench.language.scenario_file import (
    NoiseEntry,
    RampEntry,
    RepeatEntry,
    ScenarioFile,
    StepEntry,
)
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.config.yaml_source import read_yaml

FOLDER = shipped_folder() / "scenarios"
README = (FOLDER / "README.md").read_text("utf-8")
EXAMPLES = sorted((FOLDER / "examples").glob("*.yaml"))
SNIPPETS = dict(re.findall(r"^`examples/(\w+)\.yaml`\n\n```yaml\n(.*?)```$", README, re.M | re.S))
NAMES = Names(load_aircraft(shipped_config("aircraft/twin_jet.yaml")), None)


def test_every_example_is_shown_as_it_is() -> None:
    files = {path.stem: path.read_text("utf-8").split("\n", 1)[1] for path in EXAMPLES}
    assert files == SNIPPETS
    assert README.count("```yaml") == len(SNIPPETS)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_loads(path: Path) -> None:
    assert load_scenarios(path)


def keys_of(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from value
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for part in parts:
        yield from keys_of(part)


def test_every_key_of_the_language_is_in_an_example() -> None:
    used = {key for path in EXAMPLES for key in keys_of(read_yaml(path).value)}
    models = (ScenarioFile, StepEntry, RampEntry, NoiseEntry, RepeatEntry)
    known = {key for model in models for key in model.model_fields}
    known |= {"any", "all", "not", "above", "below", "at_least", "at_most", "event", "case"}
    known |= {*NAMES.sets_of_signals, "bouncing_s", "how", "file", "values"}
    assert known - used == {"source"}  # the shipped scenarios of published rules have it
    assert "`source:`" in README


def test_every_kind_of_fault_is_in_an_example() -> None:
    text = "\n".join(SNIPPETS.values())
    for kind in {kind for _, kinds in NAMES.faults.values() for kind in kinds}:
        assert f": {kind} }}" in text or f": {kind}," in text or f"{kind}_s:" in text, kind
    for kind in FaultKind:
        assert f"| `{kind}` |" in README


def test_every_name_is_listed_as_the_command_lists_it() -> None:
    """After a change: panelbridge names configs/aircraft/twin_jet.yaml, into the last section."""
    assert README.endswith(signal_tables(NAMES) + "\n")
    listed = set(re.findall(r"^\| `(\w+)` \|", README, re.M))
    expanded = {name.replace("LEG", leg) for name in listed for leg in NAMES.legs}
    assert {*NAMES.signals, *NAMES.faults} <= expanded
    for name in (*NAMES.sets_of_signals, *(f"*{start}*" for start in NAMES.aircraft.starts)):
        assert name in README
