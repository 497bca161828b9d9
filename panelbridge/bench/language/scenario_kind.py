"""The kind of file ``scenario`` for the commands that check files and print schemas."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from panelbridge.bench.language.include_file import KIND
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.scenario_file import (
    CONDITION_SCHEMA,
    PARAMETER,
    PARAMETER_SCHEMA,
    PART_MARK,
    ScenarioFile,
)
from panelbridge.bench.language.targets import TARGETS, Targets
from panelbridge.config.commands import OtherKind
from panelbridge.config.schemas import as_text, schema_of_model
from panelbridge.config.words import counted, quoted

_WITH_PARAMETERS = ("StepEntry", "RampEntry", "NoiseEntry", "RepeatEntry")


def scenario_kinds() -> Mapping[str, OtherKind]:
    """For ``config.commands``; an aircraft or a panel that many files name is read once.

    Make them for each command: files that change meanwhile are not read again.
    """
    check = partial(check_scenario, targets=Targets())
    return {KIND: OtherKind(check, scenario_schema_text)}


def check_scenario(path: Path, targets: Targets | None = None) -> str:
    """One line that says what a good scenario file is.

    Args:
        path: its path.
        targets: aircraft and panels that were read already; give the same for many files.

    Raises:
        ConfigError: with every error in it.
    """
    plans = load_scenarios(path, targets)
    first = plans[0]
    cases = f"{counted(len(plans), 'case')}, " if first.case else ""
    target = f"aircraft {quoted(first.aircraft.name)}"
    if first.panel is not None:
        target = f"panel {quoted(first.panel.name)}"
    steps = counted(len(first.steps), "step")
    return f"good scenario file {quoted(first.name)}: {cases}{steps}; {target}"


def scenario_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of scenario files."""
    schema = schema_of_model(ScenarioFile, "panelbridge scenario file")
    parts = schema["$defs"]
    parts["Condition"] = CONDITION_SCHEMA
    parts["Parameter"] = PARAMETER_SCHEMA
    schema["oneOf"] = [{"required": [name]} for name in TARGETS]
    for name in _WITH_PARAMETERS:
        _open_to_parameters(parts[name])
    _without_nothing(schema["properties"])
    runs_for = schema["properties"]["runs_for_s"]
    schema["properties"]["runs_for_s"] = _or_parameter(runs_for)
    whole: dict[str, Any] = _with_references(schema)
    return whole


def _with_references(part: Any) -> Any:
    """``part`` with a reference where a mark stands."""
    if isinstance(part, list):
        return [_with_references(item) for item in part]
    if not isinstance(part, dict):
        return part
    rest = {key: _with_references(value) for key, value in part.items() if key != PART_MARK}
    return {**rest, "$ref": f"#/$defs/{part[PART_MARK]}"} if PART_MARK in part else rest


def scenario_schema_text() -> str:
    """The text of the shipped schema."""
    return as_text(scenario_schema())


def _open_to_parameters(part: dict[str, Any]) -> None:
    _without_nothing(part["properties"])
    part["properties"] = {
        name: entry if name in ("note", "include") else _or_parameter(entry)
        for name, entry in part["properties"].items()
    }


def _or_parameter(entry: dict[str, Any]) -> dict[str, Any]:
    """``entry``, or a parameter in its place."""
    rest = {key: value for key, value in entry.items() if key not in ("description", "default")}
    if rest.get("type") == "string":
        return entry
    choices = [*rest["anyOf"], PARAMETER] if set(rest) == {"anyOf"} else [rest, PARAMETER]
    words = {key: entry[key] for key in ("description",) if key in entry}
    return {**words, "anyOf": choices}


def _without_nothing(properties: dict[str, Any]) -> None:
    """A key may be left out, and not be empty."""
    for name, entry in properties.items():
        if "anyOf" not in entry:
            continue
        choices = [choice for choice in entry["anyOf"] if choice != {"type": "null"}]
        rest = {k: v for k, v in entry.items() if k != "anyOf" and (k, v) != ("default", None)}
        properties[name] = {**rest, **(choices[0] if len(choices) == 1 else {"anyOf": choices})}
