"""Keys of a value that comes from a simulator: where it stands, and how it is read."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any, Self

from pydantic import Field, PlainValidator, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters

FieldPath = str | int | tuple[str | int, ...]
"""A way to a field; a list of the file is a tuple."""
_STEP = {"anyOf": [{"type": "string"}, {"type": "integer"}]}
_LONGEST = 20


def _is_step(value: object) -> bool:
    return (isinstance(value, str) and value != "") or type(value) is int


def _checked(value: Any) -> FieldPath:
    steps = value if isinstance(value, list | tuple) else [value]
    if not 0 < len(steps) <= _LONGEST or not all(map(_is_step, steps)):
        text = "'at' is a name, a whole number, or a list of them: [engines, 0, n1]"
        raise PydanticCustomError("field_path", text)
    return tuple(value) if isinstance(value, list | tuple) else value


At = Annotated[
    Any,
    PlainValidator(_checked),
    WithJsonSchema({"anyOf": [*_STEP["anyOf"], {"type": "array", "items": _STEP, "minItems": 1}]}),
]
"""The key ``at`` of a file."""


RawWord = str | float | int | bool
"""What a simulator sends for a word."""
_RAW_SCHEMA: list[dict[str, Any]] = [{"type": one} for one in ("string", "number", "boolean")]


def _raw_words(value: Any) -> tuple[RawWord, ...]:
    given = value if isinstance(value, list | tuple) else [value]
    if not given or not all(isinstance(one, str | int | float) for one in given):
        text = "here stands what the simulator sends: a number, a text, true or false, or a list"
        raise PydanticCustomError("raw_word", text)
    return tuple(given)


RawWords = Annotated[
    Any,
    PlainValidator(_raw_words),
    WithJsonSchema(
        {"anyOf": [*_RAW_SCHEMA, {"type": "array", "items": {"anyOf": _RAW_SCHEMA}, "minItems": 1}]}
    ),
]
_Number = Annotated[float, Field(ge=-1e12, le=1e12)]
_Point = Annotated[tuple[_Number, ...], Field(min_length=2, max_length=2)]


class LinkValue(Parameters):
    """Where a value stands in a message, and how it is read.

    The number that was sent is taken times `scale` plus `offset`, is turned round by `inverted`,
    and converted from `unit`, or it is looked up in `table`.
    """

    at: At
    """Where it stands: the name or number of a column, a name, a topic; in JSON a list of keys and
    places, [engines, 0, n1]; in records [number, place]."""
    unit: Annotated[str, Field(min_length=1, max_length=20)] | None = None
    """Unit in which the simulator sends it; null = that of the value."""
    scale: _Number = 1.0
    """The number that was sent is multiplied by this."""
    offset: _Number = 0.0
    """This is added to the multiplied number, in `unit`."""
    inverted: bool = False
    """The other end of its range: 0.2 is 0.8, -1 is 1; of two words the other one."""
    above: _Number | None = None
    """For one of two words: a number greater than this is the first word (compressed, running, on,
    made, up), any other the second."""
    below: _Number | None = None
    """The same for a number less than this."""
    words: Annotated[dict[str, RawWords], Field(min_length=1, max_length=40)] | None = None
    """Each word with what is sent for it, or a list of these: {up: 0, down: [1, 2]}."""
    table: Annotated[tuple[_Point, ...], Field(min_length=2, max_length=200)] | None = None
    """Pairs of the number that is sent and the value, straight lines in between, such as the
    detents of a flap lever: [[0, 0], [1, 10], [2, 25]]. Beyond its ends the value is unknown."""
    deadband: Annotated[float, Field(ge=0.0, le=1e9)] = 0.0
    """The value keeps until it has changed by more than this, in the unit of the value; with
    `above` or `below` the number that is sent."""
    smooth_s: Annotated[float, Field(ge=0.0, le=60.0)] = 0.0
    """Time constant with which the value follows, s."""
    stale_after_s: Annotated[float, Field(gt=0.0, le=60.0)] | None = None
    """Age after which this value counts as unknown, s; null = that of the feed."""

    @model_validator(mode="after")
    def _reads_in_one_way(self) -> Self:
        ways = [
            key for key in ("above", "below", "words", "table") if getattr(self, key) is not None
        ]
        if len(ways) > 1:
            raise ValueError(f"'{ways[0]}' and '{ways[1]}' exclude each other")
        xs = [point[0] for point in self.table or ()]
        if any(low >= high for low, high in pairwise(xs)):
            raise ValueError("the numbers that are sent must grow from pair to pair of 'table'")
        if self.table is not None and self.unit is not None:
            raise ValueError("'table' gives the value in its own unit: delete 'unit'")
        return self
