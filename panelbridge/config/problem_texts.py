"""What to say of each refusal that a model can make."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, get_origin

from pydantic_core import ErrorDetails

from panelbridge.config import advice
from panelbridge.config.model_walk import Target
from panelbridge.config.panel_file import FILLED_IN, PIN_OR_BIT_PATTERN, PIN_PATTERN
from panelbridge.config.words import counted, did_you_mean, guessed, listed, nearest, quoted
from panelbridge.config.yaml_positions import (
    KeyPath,
    Position,
    Value,
    YamlSource,
    place_name,
)
from panelbridge.errors import ConfigProblem

_PINS = (PIN_PATTERN, PIN_OR_BIT_PATTERN)
MAX_LISTED = 12
"""No more allowed keys than these are listed in a hint."""


@dataclass(frozen=True, slots=True)
class ModelProblem:
    """One refusal of a model.

    Attributes:
        source: the file.
        path: way to the value in the file.
        target: what may stand there.
        around: what may stand around it.
        details: what the model says.
    """

    source: YamlSource
    path: KeyPath
    target: Target
    around: Target
    details: ErrorDetails

    @property
    def value(self) -> Value:
        """What stands there."""
        return self.source.get(self.path)

    @property
    def position(self) -> Position:
        """Where it stands."""
        return self.source.position(self.path)

    @property
    def name(self) -> str:
        """How people call the place."""
        return place_name(self.path)

    def at_value(self, what: str, hint: str = "") -> ConfigProblem:
        """A problem that points at a single value, or at the key of a larger or an empty one."""
        if self.value is None or isinstance(self.value, dict | list):
            return self.source.at_key(self.path, what, hint)
        return self.source.at_value(self.path, what, hint)


def _free_keys(source: YamlSource, owner: KeyPath, around: Target) -> list[str]:
    """The keys that could stand in the mapping at ``owner`` and do not."""
    here = source.get(owner)
    return [name for name in around.fields if not isinstance(here, dict) or name not in here]


def is_misspelt(case: ModelProblem) -> bool:
    """A key that is missing because it stands there misspelt, which is a problem of its own."""
    here = case.source.get(case.path[:-1])
    if case.details["type"] != "missing" or not isinstance(here, dict):
        return False
    free = _free_keys(case.source, case.path[:-1], case.around)
    strangers = [key for key in here if key not in case.around.fields][:MAX_LISTED]
    return any(nearest(key, free) == case.path[-1] for key in strangers)


def unknown_key(case: ModelProblem, *, hint: bool = True) -> ConfigProblem:
    """A key that cannot stand there; ``hint``: with the key that may be meant."""
    key, owner = str(case.path[-1]), case.path[:-1]
    what = f"{place_name(owner)} has no key {quoted(key)}"
    return case.source.at_key(case.path, what, _key_hint(case, key, owner) if hint else "")


def _key_hint(case: ModelProblem, key: str, owner: KeyPath) -> str:
    free, fields = _free_keys(case.source, owner, case.around), [*case.around.fields]
    hint = did_you_mean(key, free if guessed(key, free) or not guessed(key, fields) else fields)
    twin = nearest(key, fields)
    if not hint and twin is not None:
        hint = f"It looks like {quoted(twin)}, which stands here already"
    if not hint and len(free) > MAX_LISTED:
        hint = f"Other keys that it can have are {listed(free[:MAX_LISTED], 'and')}, among others"
    elif not hint and free:
        hint = f"It can also have {listed(free)}"
    return hint or "It has all the keys that it can have"


def _missing_key(case: ModelProblem) -> ConfigProblem:
    key, owner = str(case.path[-1]), case.path[:-1]
    if isinstance(case.path[-1], int):
        what = f"{place_name(owner)} has {counted(case.path[-1], 'item')}, and more are needed"
        return case.source.at_key(owner, what, _sentence(case.around.description))
    return _lacks(case.source, owner, key, case.target)


def _lacks(source: YamlSource, owner: KeyPath, key: str, target: Target) -> ConfigProblem:
    about = _describe(target)
    boards = source.keys(("boards",))
    if key == "board" and boards and owner[:1] != ("boards",):
        about = f"The boards are {listed(boards, 'and')}"
    example = target.choices[0] if len(target.choices) == 1 else "..."
    hint = f"Add '{key}: {example}'"
    what = f"{place_name(owner)} lacks the key {quoted(key)}"
    return source.at_key(owner, what, f"{hint}. {about}" if about else hint)


def _describe(target: Target) -> str:
    """What a key is for, and what it can be."""
    description = " ".join(target.description.split()).rstrip(".")
    if target.choices:
        can = f"It can be {listed(target.choices)}" if len(target.choices) > 1 else ""
    elif advice.range_text(target):
        can = f"It is a number {advice.range_text(target)}"
    else:
        can = ""
    return ". ".join(part for part in (description, can) if part)


def _wrong_kind(
    needed: str, hint: Callable[[ModelProblem], str]
) -> Callable[[ModelProblem], ConfigProblem]:
    def write(case: ModelProblem) -> ConfigProblem:
        what = f"{case.name} must be {needed}, and {advice.found_text(case.value, case.position)}"
        if case.value is None:
            what = f"{case.name} is empty"
        return case.at_value(what, hint(case))

    return write


def _text_hint(case: ModelProblem) -> str:
    if case.target.limit("pattern") in _PINS:
        return advice.advice_for_pin(case.value)
    return advice.advice_for_text(case.value, case.position)


def _group_hint(case: ModelProblem) -> str:
    info = case.around.fields.get(str(case.path[-1])) if case.path else None
    if case.value is None and not case.target.discriminator:
        optional = info is None or not info.is_required()
        return empty_hint(case.path, case.target, optional=optional)
    if isinstance(case.value, list):
        return "Write it without dashes or [ ]: each entry below it as name: ..., two spaces in"
    fields = [str(name) for name in case.target.fields]
    if fields:
        required = [name for name, info in case.target.fields.items() if info.is_required()]
        return (
            f"Write its keys below it, two spaces further in: {listed(required or fields, 'and')}"
        )
    if case.target.discriminator:
        return f"Write its keys below it, two spaces further in, first of all {_tags(case)}"
    return "Write its keys below it, two spaces further in"


def empty_hint(path: KeyPath, target: Target, *, optional: bool = True) -> str:
    """What to do about a key with nothing behind it; ``optional``: it may be left out."""
    group = target.models or get_origin(target.kind) is dict
    if not group:
        return "Write a value after the colon, or delete the line"
    required = [name for name, info in target.fields.items() if info.is_required()]
    required = [name for name in required if name not in FILLED_IN]
    below = "Write its keys below it, two spaces further in"
    if required:
        below += f" ({listed(required, 'and')})"
    elif optional and not target.discriminator:
        empty = "its defaults" if target.models else "none"
        below += f", or '{path[-1]}: {{}}' for {empty}"
    return f"{below}, or delete the line to leave it out" if optional else below


def _tags(case: ModelProblem) -> str:
    return f"'{case.target.discriminator}', which can be {listed(case.target.choices)}"


def _out_of_range(case: ModelProblem) -> ConfigProblem:
    what = f"{case.name} is {case.position.written}, and must be {advice.range_text(case.target)}"
    return case.at_value(what, _sentence(case.target.description))


def _sentence(text: str) -> str:
    return " ".join(text.split()).rstrip(".")


def _wrong_length(case: ModelProblem) -> ConfigProblem:
    told = case.details.get("ctx", {})
    low = case.target.limit("min_length")
    high = case.target.limit("max_length")
    if low is None and high is None:  # a fixed number of items, told by the type alone
        low = high = told.get("max_length", told.get("min_length"))
    value = case.value
    one, many = ("character", "characters") if isinstance(value, str) else ("entry", "entries")
    count = len(value) if isinstance(value, str | list | dict) else 0
    if low is not None and high is not None:
        allowed = f"{low} to {high}" if low != high else f"{low}"
    else:
        allowed = f"at least {low}" if low is not None else f"at most {high}"
    if not count:
        return case.at_value(f"{case.name} is empty", f"It takes {allowed} {many}")
    what = f"{case.name} has {counted(count, one, many)}"
    return case.at_value(f"{what}, and may have {allowed}", _sentence(case.target.description))


def _wrong_pattern(case: ModelProblem) -> ConfigProblem:
    pattern = case.target.limit("pattern")
    if pattern not in _PINS:
        return case.at_value(
            f"{case.name} cannot be {quoted(case.value)}", advice.advice_for_name(case.value)
        )
    if pattern == PIN_PATTERN and re.fullmatch(PIN_OR_BIT_PATTERN, str(case.value)):
        what = f"{case.name} cannot be a bit of a chain, {quoted(case.value)}"
        return case.at_value(what, "Use a pin of the board itself; bits are for contacts and lamps")
    what = f"{case.name} must be the name of a pin, and {quoted(case.value)} is none"
    board = case.source.get((*case.path[:-1], "board"))
    chains = case.source.keys(("boards", str(board), "chains"))
    bits = pattern == PIN_OR_BIT_PATTERN
    return case.at_value(what, advice.advice_for_pin(case.value, bits=bits, chains=chains))


def _wrong_choice(case: ModelProblem) -> ConfigProblem:
    if not case.target.discriminator:
        return _no_such_choice(case.source, case.path, case.target)
    path = (*case.path, case.target.discriminator)
    if path in case.source.positions:
        return _no_such_choice(case.source, path, case.target)
    choice = Target(Literal[case.target.choices], name=case.target.discriminator)
    return _lacks(case.source, case.path, case.target.discriminator, choice)


def _no_such_choice(source: YamlSource, path: KeyPath, target: Target) -> ConfigProblem:
    value, choices, name = source.get(path), target.choices, place_name(path)
    if value is None:
        return source.at_key(path, f"{name} is empty", advice.advice_for_choice(value, choices))
    if len(choices) == 1 and not isinstance(value, str):
        found = advice.found_text(value, source.position(path))
        what, hint = f"{name} must be {choices[0]}, and {found}", _sentence(target.description)
    elif isinstance(value, str) and value:
        what = f"{name} cannot be {quoted(value)}"
        hint = advice.advice_for_choice(value, choices)
    else:
        what = f"{name} is none of the words that it can be"
        hint = advice.advice_for_choice(value, choices)
    return (source.at_key if isinstance(value, dict | list) else source.at_value)(path, what, hint)


def own_rule(case: ModelProblem) -> ConfigProblem:
    """A model's own rule, which speaks in our words already."""
    reason = case.details.get("ctx", {}).get("error", case.details["msg"])
    return case.at_value(str(reason).strip().rstrip("."), "")


def _not_finite(case: ModelProblem) -> ConfigProblem:
    return case.at_value(f"{case.name} is too large a number", advice.range_text(case.target))


def any_other(case: ModelProblem) -> ConfigProblem:
    """For a type of refusal that no model of ours makes (a test keeps it so)."""
    return case.at_value(
        f"{case.name} cannot be like this, and {advice.found_text(case.value, case.position)}",
        _describe(case.target),
    )


_TEXT = _wrong_kind("a text", _text_hint)
_GROUP = _wrong_kind("a group of keys", _group_hint)
_LIST = _wrong_kind(
    "a list",
    lambda case: (
        "Write its items in square brackets: [first, second]"
        + ", or [] for none" * (case.value is None)
    ),
)
_BOOL = _wrong_kind("true or false", lambda case: advice.advice_for_bool(case.position))
_INT = _wrong_kind(
    "a whole number",
    lambda case: advice.advice_for_number(case.value, case.position, True, case.target),
)
_FLOAT = _wrong_kind(
    "a number", lambda case: advice.advice_for_number(case.value, case.position, False, case.target)
)
WRITERS: dict[str, Callable[[ModelProblem], ConfigProblem]] = {
    "extra_forbidden": unknown_key,
    "missing": _missing_key,
    "string_type": _TEXT,
    "bool_type": _BOOL,
    "int_type": _INT,
    "int_from_float": _INT,
    "float_type": _FLOAT,
    "dict_type": _GROUP,
    "model_type": _GROUP,
    "model_attributes_type": _GROUP,
    "list_type": _LIST,
    "tuple_type": _LIST,
    "greater_than": _out_of_range,
    "greater_than_equal": _out_of_range,
    "less_than": _out_of_range,
    "less_than_equal": _out_of_range,
    "string_too_short": _wrong_length,
    "string_too_long": _wrong_length,
    "too_short": _wrong_length,
    "too_long": _wrong_length,
    "string_pattern_mismatch": _wrong_pattern,
    "literal_error": _wrong_choice,
    "enum": _wrong_choice,
    "union_tag_invalid": _wrong_choice,
    "union_tag_not_found": _wrong_choice,
    "value_error": own_rule,
    "assertion_error": own_rule,
    "finite_number": _not_finite,
}
"""The words for each type of refusal."""
