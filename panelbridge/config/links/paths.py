"""Ways to a field of a message: a name, a number, or a list of both."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

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
