"""The message for each error that a model can find."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from itertools import islice
from typing import Any, Literal, get_origin

from panelbridge.config import advice
from panelbridge.config.boards import OTHER
from panelbridge.config.model_walk import Target
from panelbridge.config.panel_file import FILLED_IN
from panelbridge.config.pin_names import PIN_OR_BIT_PATTERN, PIN_PATTERN, is_chain_bit
from panelbridge.config.words import counted, did_you_mean, guessed, listed, nearest, quoted
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource, place_name
from panelbridge.errors import ConfigProblem

_PINS = (PIN_PATTERN, PIN_OR_BIT_PATTERN)
MAX_LISTED = 12
"""No more allowed keys than these are listed in a hint."""
_BELOW = "Write its keys below it, two spaces further in"


@dataclass(frozen=True, slots=True)
class ModelProblem:
    """One error that a model finds.

    Attributes:
        source: the file.
        path: way to the value in the file.
        target: what may stand there.
        around: what may stand around it.
        kind: the library's name for this type of error.
        context: what the library says besides.
    """

    source: YamlSource
    path: KeyPath
    target: Target
    around: Target = field(default_factory=Target)
    kind: str = ""
    context: Mapping[str, Any] = field(default_factory=dict)

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
        """A problem that points at it."""
        return self.source.at_single(self.path, what, hint)


def _free_keys(source: YamlSource, owner: KeyPath, around: Target) -> list[str]:
    """The keys that could stand in the mapping at ``owner`` and were not written there."""
    place, here = source.position(owner), source.get(owner)
    filled_in = (place.key_line, place.key_column)  # where ``panel_short_forms`` puts its keys

    def is_written(name: str) -> bool:
        at = source.position((*owner, name))
        return isinstance(here, dict) and name in here and (at.line, at.column) != filled_in

    return [name for name in around.fields if not is_written(name)]


def is_misspelt(case: ModelProblem) -> bool:
    """A key that is missing because it stands there misspelt, which is a problem of its own.

    So it is with the board of everything that is wired, when the file has no board.
    """
    here = case.source.get(case.path[:-1])
    if case.kind != "missing" or not isinstance(here, dict):
        return False
    if case.path[-1] in FILLED_IN and not case.source.keys(("boards",)):
        return True
    free = _free_keys(case.source, case.path[:-1], case.around)
    strangers = islice((key for key in here if key not in case.around.fields), MAX_LISTED)
    return any(nearest(key, free) == case.path[-1] for key in strangers)


def unknown_key(case: ModelProblem, *, hint: bool = True) -> ConfigProblem:
    """A key that cannot stand there; ``hint``: with the key that may be meant."""
    key, owner = str(case.path[-1]), case.path[:-1]
    what = f"{place_name(owner)} has no key {quoted(key)}"
    return case.source.at_key(case.path, what, _key_hint(case, key, owner) if hint else "")


def _key_hint(case: ModelProblem, key: str, owner: KeyPath) -> str:
    free, fields = _free_keys(case.source, owner, case.around), [*case.around.fields]
    hint = did_you_mean(key, free if guessed(key, free) or not guessed(key, fields) else fields)
    if hint:
        return hint
    for twin in get_close_matches(key, fields, n=1, cutoff=0.75):
        return f"It looks like {quoted(twin)}, which is here too: delete one of the two"
    if len(free) > MAX_LISTED:
        return f"Other keys that it can have are {listed(free[:MAX_LISTED], 'and')}, among others"
    return f"It can also have {listed(free)}" if free else "It has all the keys that it can have"


def _missing_key(case: ModelProblem) -> ConfigProblem:
    owner, key = case.path[:-1], case.path[-1]
    if isinstance(key, int):
        what = f"{place_name(owner)} has {counted(key, 'item')}, and more are needed"
        return case.source.at_key(owner, what, _sentence(case.around.description))
    about, choices = _describe(case.target), case.target.choices
    boards = case.source.keys(("boards",))
    if key == "board" and boards and owner[:1] != ("boards",):
        about = f"The boards are {listed(boards, 'and')}"
    hint = f"Add '{key}: {choices[0] if len(choices) == 1 else '...'}'"
    what = f"{place_name(owner)} lacks the key {quoted(key)}"
    return case.source.at_key(owner, what, f"{hint}. {about}" if about else hint)


def _describe(target: Target) -> str:
    """What a key is for, and what it can be."""
    can, limits = "", advice.range_text(target)
    if target.choices:
        can = f"It can be {listed(target.choices)}" if len(target.choices) > 1 else ""
    elif limits:
        can = f"It is a number {limits}"
    return ". ".join(part for part in (_sentence(target.description), can) if part)


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
    hint = _sentence(target.description)
    is_part = (target.limit("ge"), target.limit("le")) == (0.0, 1.0)
    if not hint and is_part and isinstance(number, int | float) and 1.0 < number <= 100.0:
        hint = f"It is a part of 1: {case.position.written} percent are {number / 100:g}"
    return case.at_value(what, hint)


def _sentence(text: str) -> str:
    return " ".join(text.split()).rstrip(".")


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
        about = f"It takes {allowed} {many}. {_sentence(case.target.description)}"
        return case.at_value(f"{case.name} is empty", about.removesuffix(". "))
    what = f"{case.name} has {counted(count, one, many)}"
    return case.at_value(f"{what}, and may have {allowed}", _sentence(case.target.description))


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
            return _missing_key(case)
    value, choices = case.value, case.target.choices
    hint = advice.advice_for_choice(value, choices)
    if value is None:
        return case.at_value(f"{case.name} is empty", hint)
    if isinstance(value, str) and value:
        return case.at_value(f"{case.name} cannot be {quoted(value)}", hint)
    found = advice.found_text(value, case.position)
    if len(choices) == 1:
        needed, hint = choices[0], _sentence(target.description)
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
_WRITERS: dict[Callable[[ModelProblem], ConfigProblem], str] = {
    unknown_key: "extra_forbidden",
    _missing_key: "missing",
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
