"""The errors that a model finds in plain words, each at its place in the file."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from typing import Any, get_args

from pydantic import ValidationError
from pydantic_core.core_schema import ErrorType

from panelbridge.config.key_texts import is_misspelt, unknown_key
from panelbridge.config.model_problem import ModelProblem
from panelbridge.config.model_walk import walk, with_tags
from panelbridge.config.order_texts import order_problems
from panelbridge.config.problem_texts import WRITERS, any_other, empty_hint, own_rule
from panelbridge.config.words import MAX_HINTS
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.kit.parameters import NOT_IN_ORDER

_KNOWN = frozenset(get_args(ErrorType))
"""Types of errors of the library; all others are rules of our own models, in our words."""


def json_text(value: Value) -> str:
    """``value`` for a model's JSON mode, in which a list may become a tuple and a text an enum."""
    return json.dumps(value)


def problems_of(
    error: ValidationError, source: YamlSource, root: Any, reported: Collection[KeyPath] = ()
) -> list[ConfigProblem]:
    """Everything in ``error``, which the model ``root`` found in ``source``.

    Rules of the model's own at the places ``reported`` are left out: they are known already.
    """
    return _problems(error, source, root, (), reported)


def empty_keys(
    source: YamlSource, root: Any, reported: Collection[ConfigProblem]
) -> Iterator[ConfigProblem]:
    """Keys without a value, but for those in ``reported``; a written null is a value."""
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
    reported: Collection[KeyPath] = (),
) -> list[ConfigProblem]:
    problems: list[ConfigProblem] = []
    for details in error.errors(include_url=False):
        loc = (*prefix, *details["loc"])
        path, target, around = walk(root, loc)
        kind = details["type"]
        context = {"error": details["msg"], **details.get("ctx", {})}
        case = ModelProblem(source, path, target, around, kind, context)
        is_own = kind == "value_error" or kind not in _KNOWN
        if (is_own and path in reported) or is_misspelt(case):
            continue
        if kind == NOT_IN_ORDER:
            problems.extend(order_problems(source, path, context["orders"]))
            continue
        if kind == "extra_forbidden" and len(problems) >= MAX_HINTS:
            problems.append(unknown_key(case, hint=False))
            continue
        problems.append((own_rule if is_own else WRITERS.get(kind, any_other))(case))
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
            seen = {(one.where, one.what) for one in found}
            found = found if common is None else common
            common = [one for one in found if (one.where, one.what) in seen]
    yield from common or ()
