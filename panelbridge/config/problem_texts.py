"""The message for each error that a model can find."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, get_origin

from msgspec.structs import replace

from panelbridge.config import advice
from panelbridge.config.boards import OTHER
from panelbridge.config.key_texts import missing_key, unknown_key
from panelbridge.config.model_problem import ModelProblem, describe, sentence
from panelbridge.config.model_walk import Target
from panelbridge.config.panel_parts.on_board import FILLED_IN
from panelbridge.config.pin_names import PIN_OR_BIT_PATTERN, PIN_PATTERN, is_chain_bit
from panelbridge.config.words import counted, listed, quoted
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.errors import ConfigProblem

_PINS = (PIN_PATTERN, PIN_OR_BIT_PATTERN)
_BELOW = "Write its keys below it, two spaces further in"


def _wrong_kind(
    needed: str, hint: Callable[[ModelProblem], str]
) -> Callable[[ModelProblem], ConfigProblem]:
    def write(case: ModelProblem) -> ConfigProblem:
        thing = "the name of a pin" if case.target.limit("pattern") in _PINS else needed
        what = f"{case.name} must be {thing}, and {advice.found_text(case.value, case.position)}"
        if case.value is None:
            what = f"{case.name} is empty"
        return case.at_value(what, hint(case))

    return write


def _text_hint(case: ModelProblem) -> str:
    if case.target.limit("pattern") in _PINS:
        board = case.source.get((*case.path[:-1], "board"))
        if case.source.get(("boards", str(board), "board")) == OTHER:
            return advice.advice_for_text(case.value, case.position)
        return advice.advice_for_pin(case.value)
    return advice.advice_for_text(case.value, case.position)


def _group_hint(case: ModelProblem) -> str:
    target = case.target
    if case.value is None and not target.discriminator:
        info = case.around.fields.get(str(case.path[-1])) if case.path else None
        return empty_hint(case.path, target, optional=info is None or not info.is_required())
    if isinstance(case.value, list):
        return "Write it without dashes or [ ]: each entry below it as name: ..., two spaces in"
    if target.discriminator and all("pin" in model.model_fields for _, model in target.models):
        pin = case.value if isinstance(case.value, str) else "..."
        forms = [f"{{ {target.discriminator}: {tag}, pin: {pin} }}" for tag in target.choices]
        return f"Write {listed(forms)}"
    if target.discriminator:
        tags = f"'{target.discriminator}', which can be {listed(target.choices)}"
        return f"{_BELOW}, first of all {tags}"
    fields = [name for name, info in target.fields.items() if info.is_required()] or target.fields
    if "number" in fields and isinstance(case.value, str):
        return "Write its number alone, without quotes, or its keys in { }: number, pwm, analogue"
    return f"{_BELOW}: {listed(fields, 'and')}" if fields else _BELOW


def empty_hint(path: KeyPath, target: Target, *, optional: bool = True) -> str:
    """What to do about a key with nothing behind it; ``optional``: it may be left out."""
    if not target.models and get_origin(target.kind) is not dict:
        return "Write a value after the colon, or delete the line"
    required = [name for name, info in target.fields.items() if info.is_required()]
    required = [name for name in required if name not in FILLED_IN]
    below = f"{_BELOW} ({listed(required, 'and')})" if required else _BELOW
    if required == ["pin"]:
        below = f"Write its pin after the colon, or its keys{_BELOW.removeprefix('Write its keys')}"
    if optional and not required and not target.discriminator:
        below += f", or '{path[-1]}: {{}}' for {'its defaults' if target.models else 'none'}"
    return f"{below}, or delete the line to leave it out" if optional else below


def _out_of_range(case: ModelProblem) -> ConfigProblem:
    number, target = case.value, case.target
    what = f"{case.name} is {case.position.written}, and must be {advice.range_text(target)}"
    hint = sentence(target.description)
    is_part = (target.limit("ge"), target.limit("le")) == (0.0, 1.0)
    if not hint and is_part and isinstance(number, int | float) and 1.0 < number <= 100.0:
        hint = f"It is a part of 1: {case.position.written} percent are {number / 100:g}"
    return case.at_value(what, hint)


def _wrong_length(case: ModelProblem) -> ConfigProblem:
    low = case.target.limit("min_length")
    high = case.target.limit("max_length")
    if low is None and high is None:  # a fixed number of items, which the type alone says
        low = high = case.context.get("max_length", case.context.get("min_length"))
    value = case.value
    one, many = ("character", "characters") if isinstance(value, str) else ("entry", "entries")
    count = len(value) if isinstance(value, str | list | dict) else 0
    if low is not None and high is not None:
        allowed = f"{low} to {high}" if low != high else f"{low}"
    else:
        allowed = f"at least {low}" if low is not None else f"at most {high}"
    if not count:
        about = f"It takes {allowed} {many}. {sentence(case.target.description)}"
        return case.at_value(f"{case.name} is empty", about.removesuffix(". "))
    what = f"{case.name} has {counted(count, one, many)}"
    return case.at_value(f"{what}, and may have {allowed}", sentence(case.target.description))


def _wrong_pattern(case: ModelProblem) -> ConfigProblem:
    pattern = case.target.limit("pattern")
    if pattern not in _PINS:
        return case.at_value(
            f"{case.name} cannot be {quoted(case.value)}", advice.advice_for_name(case.value)
        )
    if pattern == PIN_PATTERN and is_chain_bit(case.value):
        what = f"{case.name} cannot be a bit of a chain, {quoted(case.value)}"
        return case.at_value(what, "Use a pin of the board itself; bits are for contacts and lamps")
    what = f"{case.name} must be the name of a pin, and {quoted(case.value)} is none"
    board = case.source.get((*case.path[:-1], "board"))
    if case.source.get(("boards", str(board), "board")) == OTHER:
        return case.at_value(what, f"Write it as under 'other_board' of board {quoted(board)}")
    chains = case.source.keys(("boards", str(board), "chains"))
    bits = pattern == PIN_OR_BIT_PATTERN
    return case.at_value(what, advice.advice_for_pin(case.value, bits=bits, chains=chains))


def _wrong_choice(case: ModelProblem) -> ConfigProblem:
    target = case.target
    if target.discriminator:
        path = (*case.path, target.discriminator)
        choice = Target(Literal[target.choices], name=target.discriminator)
        case = replace(case, path=path, target=choice)
        if path not in case.source.positions:
            return missing_key(case)
    value, choices = case.value, case.target.choices
    hint = advice.advice_for_choice(value, choices)
    if value is None:
        return case.at_value(f"{case.name} is empty", hint)
    if isinstance(value, str) and value:
        return case.at_value(f"{case.name} cannot be {quoted(value)}", hint)
    found = advice.found_text(value, case.position)
    if len(choices) == 1:
        needed, hint = choices[0], sentence(target.description)
    else:
        needed = "a word"
    return case.at_value(f"{case.name} must be {needed}, and {found}", hint)


def own_rule(case: ModelProblem) -> ConfigProblem:
    """A model's own rule, which speaks in our words already."""
    return case.at_value(str(case.context["error"]).strip().rstrip("."), "")


def _not_finite(case: ModelProblem) -> ConfigProblem:
    return case.at_value(f"{case.name} is too large a number", advice.range_text(case.target))


def any_other(case: ModelProblem) -> ConfigProblem:
    """For a type of error that no model of ours finds (a test keeps it so)."""
    return case.at_value(
        f"{case.name} cannot be like this, and {advice.found_text(case.value, case.position)}",
        describe(case.target),
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
_WRITERS: dict[Callable[[ModelProblem], ConfigProblem], str] = {
    unknown_key: "extra_forbidden",
    missing_key: "missing",
    _TEXT: "string_type",
    _BOOL: "bool_type",
    _INT: "int_type int_from_float",
    _FLOAT: "float_type",
    _GROUP: "dict_type model_type model_attributes_type",
    _LIST: "list_type tuple_type",
    _out_of_range: "greater_than greater_than_equal less_than less_than_equal",
    _wrong_length: "string_too_short string_too_long too_short too_long",
    _wrong_pattern: "string_pattern_mismatch",
    _wrong_choice: "literal_error enum union_tag_invalid union_tag_not_found",
    own_rule: "value_error assertion_error",
    _not_finite: "finite_number",
}
WRITERS = {kind: writer for writer, kinds in _WRITERS.items() for kind in kinds.split()}
"""What writes the message for each type of error."""
