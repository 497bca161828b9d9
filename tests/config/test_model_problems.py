"""Every kind of refusal that a model can make has its own words."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated, Any, Literal, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field, TypeAdapter, ValidationError, model_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ErrorType

from panelbridge.config.feed_file import FeedFile
from panelbridge.config.load import kind_of
from panelbridge.config.loading import KINDS
from panelbridge.config.model_problems import json_text, problems_of
from panelbridge.config.model_walk import target_of, walk
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.pin_names import PinName
from panelbridge.config.problem_texts import WRITERS
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_positions import Value, YamlSource, place_name
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigProblem
from panelbridge.logic.gear.parameters import LegName
from panelbridge.logic.kit.parameters import Parameters
from tests.config.texts import parse_yaml
from tests.examples import examples


class Side(StrEnum):
    LEFT = "left"
    RIGHT = "right"


class Part(Parameters):
    """A part."""

    length_s: float = 1.0
    """How long it takes, s."""


class Round(Parameters):
    """A thing of one form."""

    form: Literal["round"]
    """Its form."""
    size: int


class Square(Parameters):
    """A thing of another form."""

    form: Literal["square"]
    """Its form."""
    size: int
    edge: int


class Thing(Parameters):
    """One field for each kind of refusal."""

    text: str = "a"
    whole: int = 0
    number: float = 0.0
    choice: Literal["red", "green"] = "red"
    only: Literal[1] = 1
    side: Side = Side.LEFT
    switch: bool = False
    part: Part = Part()
    parts: list[Part] = Field(default_factory=list)
    by_name: dict[str, Part] = Field(default_factory=dict)
    pair: tuple[int, int] = (0, 0)
    many: tuple[float, ...] = ()
    at_least_s: Annotated[float, Field(ge=1.5)] = 2.0
    """A time, s."""
    over_psi: Annotated[float, Field(gt=0)] = 2.0
    under_kt: Annotated[float, Field(lt=10)] = 2.0
    between_ft: Annotated[float, Field(gt=0, lt=10)] = 2.0
    at_most: Annotated[int, Field(le=10)] = 2
    steps: Annotated[int, Field(ge=1, le=3)] = 2
    short: Annotated[str, Field(max_length=3)] = "a"
    long: Annotated[str, Field(min_length=2)] = "aa"
    exact: Annotated[str, Field(min_length=2, max_length=2)] = "aa"
    some: Annotated[list[int], Field(min_length=1, max_length=2)] = Field(
        default_factory=lambda: [1]
    )
    pin: PinName = "D1"
    name: LegName = "a"
    form: Annotated[Round | Square | None, Field(discriminator="form")] = None

    @model_validator(mode="after")
    def _rule(self) -> Thing:
        if self.text == self.pin:
            raise ValueError("text and pin are the same.")
        if self.text == self.name + "!":
            raise PydanticCustomError("same_name", "text shouts the name {name}", {"name": "a"})
        return self


def refusals(text: str) -> tuple[list[str], list[ConfigProblem]]:
    """Types of the refusals and what is said of them."""
    source = parse_yaml(text, "f")
    with pytest.raises(ValidationError) as caught:
        Thing.model_validate_json(json_text(source.value))
    kinds = [error["type"] for error in caught.value.errors()]
    return kinds, problems_of(caught.value, source, Thing)


CASES = [
    # type of the refusal, text, place, what, hint
    ("extra_forbidden", "txt: a", (1, 1), "this file has no key 'txt'", "Did you mean 'text'?"),
    ("extra_forbidden", "part: {len: 1}", (1, 8), "'part' has no key 'len'",
     "Did you mean 'length_s'?"),
    ("extra_forbidden", "part: {xyz: 1}", (1, 8), "'part' has no key 'xyz'",
     "It can also have length_s"),
    ("extra_forbidden", "part: {length_s: 2, a: 1}", (1, 21), "'part' has no key 'a'",
     "It has all the keys that it can have"),
    ("extra_forbidden", "part: {length_s: 2, lenght_s: 1}", (1, 21), "'part' has no key "
     "'lenght_s'", "It looks like 'length_s', which is here too: delete one of the two"),
    (
        "extra_forbidden",
        "zzz: a",
        (1, 1),
        "this file has no key 'zzz'",
        "Other keys that it can have are text, whole, number, choice, only, side, switch, part, "
        "parts, by_name, pair and many, among others",
    ),
    ("missing", "form: {form: round}", (1, 1), "'form' lacks the key 'size'", "Add 'size: ...'"),
    ("missing", "pair: [1]", (1, 1), "'pair' has 1 item, and more are needed", ""),
    ("string_type", "text: 1.5", (1, 7), "'text' must be a text, and the number 1.5 stands here",
     'Put it in quotes: "1.5"'),
    ("string_type", "text: [a]", (1, 1), "'text' must be a text, and a list stands here",
     "Write a single text; a text with : [ ] { } in it needs quotes"),
    ("string_type", "text:", (1, 1), "'text' is empty", "Write a text after the colon"),
    ("string_type", "pin: 2", (1, 6),
     "'pin' must be the name of a pin, and the number 2 stands here",
     "Did you mean 'D2'? Write it as it is printed on the board: D2, A0, or GP2 on a "
     "Pico-class board"),
    ("bool_type", "switch: on", (1, 9), "'switch' must be true or false, and the text 'on' stands "
     "here", "Write true (yes and no are always written true and false)"),
    ("bool_type", "switch: No", (1, 9), "'switch' must be true or false, and the text 'No' stands "
     "here", "Write false (yes and no are always written true and false)"),
    ("bool_type", "switch: 'true'", (1, 9), "'switch' must be true or false, and the text 'true' "
     "in quotes stands here", "Write true, without quotes"),
    ("int_type", "whole: 010", (1, 8), "'whole' must be a whole number, and the text '010' stands "
     "here", "Write 10: a number has no zeros in front"),
    ("int_type", "whole: 12:30", (1, 8), "'whole' must be a whole number, and the text '12:30' "
     "stands here", "Write one number, without colons"),
    ("int_type", "whole: yes", (1, 8), "'whole' must be a whole number, and the text 'yes' stands "
     "here", "This is no switch to turn on or off: write a number"),
    ("int_type", "whole: true", (1, 8), "'whole' must be a whole number, and true stands here",
     "Write a number"),
    ("int_type", "whole: 2.4", (1, 8), "'whole' must be a whole number, and the number 2.4 stands "
     "here", "Write 2"),
    ("int_type", "whole:\n  a: 1", (1, 1), "'whole' must be a whole number, and a group of keys "
     "stands here", "Write a number"),
    ("float_type", "number: 1,5", (1, 9), "'number' must be a number, and the text '1,5' stands "
     "here", "Write 1.5, with a point"),
    ("float_type", "many: [1, .5]", (1, 11), "'many[2]' must be a number, and the text '.5' stands "
     "here", "Write 0.5"),
    ("float_type", "part: {length_s: 2 s}", (1, 18), "'part.length_s' must be a number, and the "
     "text '2 s' stands here", "Write 2: the unit is in the key's name already"),
    ("float_type", "part: {length_s: '0:30'}", (1, 18), "'part.length_s' must be a number, and the "
     "text '0:30' in quotes stands here", "Write one number in s, without colons"),
    ("dict_type", "by_name: 5", (1, 10), "'by_name' must be a group of keys, and the number 5 "
     "stands here", "Write its keys below it, two spaces further in"),
    ("model_type", "part: x", (1, 7), "'part' must be a group of keys, and the text 'x' stands "
     "here", "Write its keys below it, two spaces further in: length_s"),
    ("model_type", "parts: [x]", (1, 9), "'parts[1]' must be a group of keys, and the text 'x' "
     "stands here", "Write its keys below it, two spaces further in: length_s"),
    ("dict_type", "form: round", (1, 7), "'form' must be a group of keys, and the text "
     "'round' stands here", "Write its keys below it, two spaces further in, first of all 'form', "
     "which can be round or square"),
    ("list_type", "parts: x", (1, 8), "'parts' must be a list, and the text 'x' stands here",
     "Write its items in square brackets: [first, second]"),
    ("tuple_type", "many: 5", (1, 7), "'many' must be a list, and the number 5 stands here",
     "Write its items in square brackets: [first, second]"),
    ("too_long", "pair: [1, 2, 3]", (1, 1), "'pair' has 3 entries, and may have 2", ""),
    ("greater_than_equal", "at_least_s: 1", (1, 13), "'at_least_s' is 1, and must be 1.5 or more s",
     "A time, s"),
    ("greater_than", "over_psi: 0.0", (1, 11), "'over_psi' is 0.0, and must be more than 0 psi",
     ""),
    ("less_than", "under_kt: 10", (1, 11), "'under_kt' is 10, and must be less than 10 kt", ""),
    ("less_than", "between_ft: 1e1", (1, 13), "'between_ft' is 1e1, and must be more than 0 and "
     "less than 10 ft", ""),
    ("less_than_equal", "at_most: 11", (1, 10), "'at_most' is 11, and must be up to 10", ""),
    ("less_than_equal", "steps: 4", (1, 8), "'steps' is 4, and must be from 1 to 3", ""),
    ("string_too_short", "long: a", (1, 7), "'long' has 1 character, and may have at least 2", ""),
    ("string_too_short", "long: ''", (1, 7), "'long' is empty", "It takes at least 2 characters"),
    ("string_too_long", "short: abcd", (1, 8), "'short' has 4 characters, and may have at most 3",
     ""),
    ("string_too_long", "exact: abcd", (1, 8), "'exact' has 4 characters, and may have 2", ""),
    ("too_short", "some: []", (1, 1), "'some' is empty", "It takes 1 to 2 entries"),
    ("too_long", "some: [1, 2, 3]", (1, 1), "'some' has 3 entries, and may have 1 to 2", ""),
    ("string_pattern_mismatch", "pin: digital 3", (1, 6), "'pin' must be the name of a pin, and "
     "'digital 3' is none", "Did you mean 'D3'? Write it as it is printed on the board: D2, A0, or "
     "GP2 on a Pico-class board"),
    ("string_pattern_mismatch", "name: Nose-Leg", (1, 7), "'name' cannot be 'Nose-Leg'",
     "Did you mean 'nose_leg'? A name begins with a small letter and goes on with up to 15 small "
     "letters, digits or _"),
    ("string_pattern_mismatch", "name: 4x", (1, 7), "'name' cannot be '4x'", "A name begins with "
     "a small letter and goes on with up to 15 small letters, digits or _"),
    ("string_type", "name: 4", (1, 7), "'name' must be a text, and the number 4 stands here",
     'Put it in quotes: "4"'),
    ("literal_error", "choice: gren", (1, 9), "'choice' cannot be 'gren'",
     "Did you mean 'green'? It can be red or green"),
    ("literal_error", "choice: 5", (1, 9), "'choice' must be a word, and the number 5 stands here",
     "It can be red or green"),
    ("literal_error", "choice:", (1, 1), "'choice' is empty", "It can be red or green"),
    ("literal_error", "only: 2", (1, 7), "'only' must be 1, and the number 2 stands here", ""),
    ("enum", "side: lft", (1, 7), "'side' cannot be 'lft'",
     "Did you mean 'left'? It can be left or right"),
    ("union_tag_invalid", "form: {form: sqare, size: 1}", (1, 14), "'form.form' cannot be 'sqare'",
     "Did you mean 'square'? It can be round or square"),
    ("union_tag_not_found", "form: {size: 1}", (1, 1), "'form' lacks the key 'form'",
     "Add 'form: ...'. It can be round or square"),
    ("same_name", "text: a!", (1, 1), "text shouts the name a", ""),
    ("value_error", "text: D1", (1, 1), "text and pin are the same", ""),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text", "place", "what", "hint"), CASES)
def test_words_for(kind: str, text: str, place: tuple[int, int], what: str, hint: str) -> None:
    kinds, (problem,) = refusals(text)
    assert kinds == [kind]
    assert (problem.line, problem.column) == place
    assert problem.what == what
    assert problem.hint == hint


def test_every_writer_has_a_case() -> None:
    # Never made in the mode in which files are checked, or only by numbers that the reader refuses.
    unmet = {"assertion_error", "model_attributes_type", "int_from_float", "finite_number"}
    assert {case[0] for case in CASES} | unmet == {*WRITERS, "same_name"}


def test_mistakes_below_a_wrong_choice_are_told_if_every_choice_has_them() -> None:
    _, found = refusals("form: {form: oval, size: big, edge: 5, sise: 1}")
    assert [m.what for m in found] == [
        "'form.form' cannot be 'oval'",
        "'form.size' must be a whole number, and the text 'big' stands here",
        "'form' has no key 'sise'",
    ]


def test_a_misspelt_key_is_not_reported_as_missing_too() -> None:
    _, found = refusals("form: {form: round, sixe: 1}")
    assert [m.what for m in found] == ["'form' has no key 'sixe'"]


@pytest.mark.parametrize("text", ["text: D1", "text: a!"])
def test_a_rule_that_was_told_already_is_not_told_again(text: str) -> None:
    source = parse_yaml(text, "f")
    error = refusal_of(Thing, source)
    assert error is not None
    assert problems_of(error, source, Thing, reported=[()]) == []
    assert len(problems_of(error, source, Thing, reported=[("text",)])) == 1


def test_place_names() -> None:
    assert place_name(("lamps", "nose_green", "pin")) == "'lamps.nose_green.pin'"
    assert place_name(("legs", 0, "name")) == "'legs[1].name'"
    assert place_name(()) == "this file"
    assert len(place_name(("x" * 500,))) < 50


def test_walk_leaves_out_the_tags_of_choices() -> None:
    loc = ("switches", "gear_handle", "two_contact", "travel_s")
    path, target, around = walk(PanelFile, loc)
    assert path == ("switches", "gear_handle", "travel_s")
    assert target.limit("le") == 10.0
    assert "up_pin" in around.fields
    assert target_of(FeedFile).choices == ("demo_flight", "fixed", "flight_model", "link")


SHIPPED = [
    read_yaml(path) for path in sorted(shipped_folder().glob("*/*.yaml")) if kind_of(path) in KINDS
]
JUNK: st.SearchStrategy[Any] = (
    st.none()
    | st.booleans()
    | st.integers(-(10**6), 10**6)
    | st.floats(-1e6, 1e6, allow_nan=False)
    | st.text("on yes010:.DA5", max_size=6)
    | st.lists(st.integers(0, 3), max_size=9)
    | st.dictionaries(st.text("abc", max_size=4), st.integers(0, 3), max_size=3)
)


@st.composite
def damaged(draw: st.DrawFn) -> YamlSource:
    """A shipped file in which some values, keys or whole parts are something else."""
    source = draw(st.sampled_from(SHIPPED))
    value = json.loads(json.dumps(source.value))
    for _ in range(draw(st.integers(1, 5))):
        path = draw(st.sampled_from([*source.positions]))
        at: Any = value
        for step in path[:-1]:
            at = at[step] if _has(at, step) else None
        if isinstance(at, dict) and path:
            action = draw(st.sampled_from(["put", "delete", "rename"]))
            old = at.get(path[-1])
            if action != "put":
                at.pop(path[-1], None)
            if action == "put":
                at[path[-1]] = draw(JUNK)
            elif action == "rename":
                at[f"{path[-1]}{draw(st.sampled_from('sx'))}"] = old
        elif path and _has(at, path[-1]):
            at[path[-1]] = draw(JUNK)
    return parse_yaml(json.dumps(value), "f.yaml")


def _has(at: Any, step: Any) -> bool:
    if isinstance(at, dict):
        return step in at
    return isinstance(at, list) and isinstance(step, int) and step < len(at)


@settings(max_examples=examples(150))
@given(damaged())
def test_law_every_refusal_of_our_files_has_words_of_its_own(source: YamlSource) -> None:
    value: Value = source.value
    assert isinstance(value, dict)
    kind = value.get("kind")
    model = KINDS[kind if isinstance(kind, str) and kind in KINDS else "panel"]
    error = refusal_of(model, source)
    if error is None:
        return
    of_pydantic = {details["type"] for details in error.errors()} & set(get_args(ErrorType))
    assert of_pydantic <= set(WRITERS)  # all others are rules of our own, in our own words
    found = problems_of(error, source, model)
    assert found
    for problem in found:
        assert "cannot be like this" not in problem.what
        assert "Input" not in str(problem)
        assert problem.line >= 1


def refusal_of(model: Any, source: YamlSource) -> ValidationError | None:
    adapter: TypeAdapter[Any] = TypeAdapter(model)
    try:
        adapter.validate_json(json_text(source.value))
    except ValidationError as error:
        return error
    return None
