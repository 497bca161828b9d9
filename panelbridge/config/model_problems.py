"""A model's model_problems as problems in plain words, each at its place in the file."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from typing import Any, get_args

from pydantic import ValidationError
from pydantic_core.core_schema import ErrorType

from panelbridge.config.model_walk import walk, with_tags
from panelbridge.config.problem_texts import (
    WRITERS,
    ModelProblem,
    any_other,
    empty_hint,
    is_misspelt,
    own_rule,
    unknown_key,
)
from panelbridge.config.words import MAX_HINTS
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource, place_name
from panelbridge.errors import ConfigProblem

_KNOWN = frozenset(get_args(ErrorType))
"""Refusals that the library makes; all others are rules of our own models, in our words."""


def json_text(value: Value) -> str:
    """``value`` for a model's JSON mode, in which a list may become a tuple and a text an enum."""
    return json.dumps(value)


def problems_of(
    error: ValidationError, source: YamlSource, root: Any, told: Collection[KeyPath] = ()
) -> list[ConfigProblem]:
    """Every refusal in ``error``, made by the model ``root`` for what ``source`` says.

    Rules of the model's own at the places ``told`` are left out: they have been told already.
    """
    return _problems(error, source, root, (), told)


def empty_keys(
    source: YamlSource, root: Any, reported: Collection[ConfigProblem]
) -> Iterator[ConfigProblem]:
    """Keys with nothing behind them, but for those in ``reported``; a written null is no such."""
    known = {(problem.line, problem.column) for problem in reported}
    for path, place in source.positions.items():
        nothing = place.plain and not place.written and source.get(path) is None
        if nothing and path and (place.key_line, place.key_column) not in known:
            _, target, _ = walk(root, with_tags(source, root, path))
            yield source.at_key(path, f"{place_name(path)} is empty", empty_hint(path, target))


def _problems(
    error: ValidationError,
    source: YamlSource,
    root: Any,
    prefix: tuple[str | int, ...],
    told: Collection[KeyPath] = (),
) -> list[ConfigProblem]:
    problems: list[ConfigProblem] = []
    for details in error.errors(include_url=False):
        loc = (*prefix, *details["loc"])
        path, target, around = walk(root, loc)
        case = ModelProblem(source, path, target, around, details)
        is_own = details["type"] == "value_error" or details["type"] not in _KNOWN
        if (is_own and path in told) or is_misspelt(case):
            continue
        if details["type"] == "extra_forbidden" and len(problems) >= MAX_HINTS:
            problems.append(unknown_key(case, hint=False))
            continue
        writer = WRITERS.get(details["type"], any_other)
        problems.append((own_rule if is_own else writer)(case))
        if target.discriminator:
            problems.extend(_whatever_is_chosen(case, root, loc))
    return problems


def _whatever_is_chosen(
    case: ModelProblem, root: Any, loc: tuple[str | int, ...]
) -> Iterator[ConfigProblem]:
    """The problems that a value with a wrong choice has under every choice.

    Without a choice the model looks at nothing else; the user would get the rest one by one.
    """
    value = case.value
    if not isinstance(value, dict):
        return
    common: list[ConfigProblem] | None = None
    for tag, model in case.target.models:
        try:
            model.model_validate_json(json_text(value | {case.target.discriminator: tag}))
            return
        except ValidationError as error:
            found = _problems(error, case.source, root, (*loc, tag))
            seen = {(m.line, m.column, m.what) for m in found}
            common = [
                m
                for m in (found if common is None else common)
                if (m.line, m.column, m.what) in seen
            ]
    yield from common or ()
