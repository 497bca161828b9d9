"""The layout of a scenario file: its model, and keys without a value."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationError

from panelbridge.bench.language.cases_file import places_of_parameters
from panelbridge.bench.language.scenario_file import RepeatEntry, ScenarioFile, StepEntry
from panelbridge.config.model_problems import json_text, problems_of
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.kit.parameters import Parameters


def model_of(source: YamlSource, problems: list[ConfigProblem]) -> ScenarioFile | None:
    """The model of a file; None when its layout has errors, which are noted."""
    try:
        return ScenarioFile.model_validate_json(json_text(source.value))
    except ValidationError as error:
        problems.extend(problems_of(error, source, ScenarioFile))
        return None
    finally:
        problems.extend(_empty_keys(source))


def forget_what_follows(problems: list[ConfigProblem], source: YamlSource, before: int) -> None:
    """Leave out that a parameter without a value is no number, word or name.

    Args:
        problems: all of them.
        source: the file.
        before: how many there were before the file was looked at.
    """
    if len(problems) == before:
        return
    places = places_of_parameters(source)
    problems[before:] = [
        problem
        for problem in problems[before:]
        if problem.file != source.file or (problem.line, problem.column) not in places
    ]


def _empty_keys(source: YamlSource) -> Iterator[ConfigProblem]:
    """Optional keys without a value; the model reports the others."""
    groups: list[tuple[KeyPath, type[Parameters]]] = [((), ScenarioFile)]
    groups += _steps(source, ("steps",))
    for path, model in groups:
        for name, info in model.model_fields.items():
            here = (*path, name)
            if here in source.positions and info.default is None and source.get(here) is None:
                what = f"{place_name(here)} is empty"
                yield source.at_key(here, what, "Write something after the colon, or delete it")


def _steps(source: YamlSource, path: KeyPath) -> Iterator[tuple[KeyPath, type[Parameters]]]:
    """Every step, those that are repeated too, and each group of repeated ones."""
    items = source.get(path)
    for place in range(len(items) if isinstance(items, list) else 0):
        yield (*path, place), StepEntry
        yield (*path, place, "repeat"), RepeatEntry
        yield from _steps(source, (*path, place, "repeat", "steps"))
