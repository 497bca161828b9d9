"""The JSON Schema of scenarios says the same as the loader, and the shipped copy is up to date."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.scenario_file import ScenarioFile, StepEntry
from panelbridge.bench.language.scenario_kind import (
    check_scenario,
    scenario_kinds,
    scenario_schema,
    scenario_schema_text,
)
from panelbridge.cli.app import run_app
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError
from tests.bench.made import TARGETS
from tests.examples import few_of

FOLDER = shipped_folder()
SHIPPED = sorted((FOLDER / "scenarios").rglob("*.yaml"))
BAD = Path(__file__).parent / "bad"
EXAMPLE = FOLDER / "scenarios" / "examples" / "cases.yaml"


def is_valid(value: Any) -> bool:
    return bool(jsonschema.Draft202012Validator(scenario_schema()).is_valid(value))


def test_the_shipped_schema_is_that_of_the_models() -> None:
    """To renew it: ``panelbridge schema scenario > configs/schemas/scenario.schema.json``."""
    shipped = (FOLDER / "schemas" / "scenario.schema.json").read_text("utf-8")
    assert shipped == scenario_schema_text()


@cache
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(scenario_schema())


def test_schema_is_valid_in_its_dialect() -> None:
    jsonschema.Draft202012Validator.check_schema(scenario_schema())


def test_every_key_of_the_models_is_there_and_described() -> None:
    schema = scenario_schema()
    for part, model in ((schema, ScenarioFile), (schema["$defs"]["StepEntry"], StepEntry)):
        assert set(part["properties"]) == set(model.model_fields)
        assert part["additionalProperties"] is False
        for name, entry in part["properties"].items():
            assert entry["description"], name
            assert "null" not in json.dumps(entry), name
    assert json.dumps(schema).count('"part"') == 0


@pytest.mark.parametrize("path", few_of(SHIPPED, 30), ids=lambda path: path.name)
def test_shipped_scenarios_load_and_meet_the_schema(path: Path) -> None:
    assert load_scenarios(path, TARGETS)
    validator().validate(read_yaml(path).value)


def test_shipped_scenarios_name_their_schema_in_the_first_line() -> None:
    assert SHIPPED
    for path in SHIPPED:
        up = "../" * (len(path.relative_to(FOLDER).parts) - 1)
        first = path.read_text("utf-8").splitlines()[0]
        named = f"# yaml-language-server: $schema={up}schemas/scenario.schema.json"
        assert first == named, path
    assert (FOLDER / "schemas" / "scenario.schema.json").is_file()


@pytest.mark.parametrize(
    "name",
    [
        *("any_all_not", "comparison_unknown", "fault_bouncing", "file_layout", "event_list"),
        *("no_steps", "ramp", "signal_empty", "step_no_group", "step_unknown_key", "target_none"),
        *("target_two", "throughout_word", "times_range", "value_lists", "case_names"),
    ],
)
def test_errors_of_the_layout_do_not_meet_the_schema(name: str) -> None:
    assert not is_valid(read_yaml(BAD / f"{name}.yaml").value)


def test_a_parameter_can_stand_for_a_number_a_group_and_a_word() -> None:
    value = {
        "kind": "scenario",
        "format": 2,
        "name": "x",
        "aircraft": "x.yaml",
        "runs_for_s": "<long>",
        "steps": [
            {"at_s": "<when>", "expect": "<then>", "throughout_s": "<long>", "fault": "<fault>"},
            {"set": {"flap_deg": "<flaps>"}, "fault": {"gear_handle": "<fault>"}},
            {"never": {"any": ["<this>", {"not": "<that>"}]}, "ramp": {"to": {}, "over_s": "<x>"}},
        ],
        "cases": [{"case": "one", "when": 1}],
    }
    assert is_valid(value)
    assert not is_valid({**value, "runs_for_s": "long"})


def test_the_command_prints_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["schema", "scenario"]) == 0
    assert capsys.readouterr().out == scenario_schema_text()


def test_a_misspelt_kind_is_reported_of_scenarios(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["schema", "scenari"]) == 2
    assert "Did you mean 'scenario'? Kinds: panel, aircraft, feed and scenario" in (
        capsys.readouterr().err
    )
    path = tmp_path / "x.yaml"
    path.write_text("kind: scenaro\nformat: 2\n", "utf-8")
    assert run_app(["check", str(path)]) == 2
    assert "Did you mean 'scenario'? It can be panel, aircraft, feed or scenario" in (
        capsys.readouterr().err
    )


def test_check_says_what_a_scenario_is(capsys: pytest.CaptureFixture[str]) -> None:
    said = "good scenario file 'The horn and the throttles': 3 cases, 1 step; aircraft 'Twin jet'"
    assert check_scenario(EXAMPLE) == said
    assert run_app(["check", str(EXAMPLE), str(EXAMPLE.with_name("include.yaml"))]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{EXAMPLE}: {said}"
    assert lines[1].endswith("8 steps; panel 'Demonstration panel'")


def test_check_reports_every_error(capsys: pytest.CaptureFixture[str]) -> None:
    path = BAD / "signal_unknown.yaml"
    assert run_app(["check", str(path)]) == 2
    assert capsys.readouterr().err.endswith("3 errors\n")
    with pytest.raises(ConfigError):
        scenario_kinds()["scenario"].check(path)
