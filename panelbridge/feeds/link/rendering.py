"""From values to the bytes of a message."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from panelbridge.config.links.names_to_send import Sendable
from panelbridge.config.links.targets import BinaryCommand, LinkCommand, WrittenValue
from panelbridge.config.links.templates import Filling, leaves_of, template_of
from panelbridge.config.links.units import factor_between
from panelbridge.feeds.formats.numbers import LETTERS, order_letter
from panelbridge.signals import Value

Render = Callable[[Filling], bytes]
"""Raises KeyError, when a value is missing; ValueError, when one does not fit."""


class ValueWriter:
    """Writes a value as a simulator expects it.

    Args:
        keys: how it is written in the feed file; None = as it is.
        one: what is written.
    """

    def __init__(self, keys: WrittenValue | None, one: Sendable) -> None:
        keys = keys or WrittenValue()
        self._words: Mapping[str, Any] = keys.words or {}
        factor = factor_between(keys.unit, one.unit) if keys.unit is not None else 1.0
        assert isinstance(factor, float)  # the check of the file has said so
        self._scale, self._offset = keys.scale / factor, keys.offset

    def write(self, value: str | float | bool) -> str | float:
        """The word or number that stands in a message."""
        if isinstance(value, str):
            written: str | float = self._words.get(value, value)
            return written
        return value * self._scale + self._offset


def renderer_of(name: str, keys: LinkCommand) -> tuple[frozenset[str], Render]:
    """The values that a message needs, and what makes it of them."""
    if keys.text is not None:
        template = template_of(keys.text)
        return template.names, lambda values: template.fill(values).encode()
    if keys.words is not None:
        return _one_a_word(name, keys.words)
    if keys.json_text is not None:
        tree = keys.json_text
        names = frozenset().union(*[template_of(text).names for _, text in leaves_of(tree)])
        fill = _json_filler(tree)
        return names, lambda values: json.dumps(fill(values)).encode()
    assert keys.binary is not None
    return _binary(keys.binary)


def _one_a_word(name: str, words: Mapping[str, str]) -> tuple[frozenset[str], Render]:
    templates = {word: template_of(text) for word, text in words.items()}

    def render(values: Filling) -> bytes:
        template = templates.get(str(values[name]))
        return b"" if template is None else template.fill(values).encode()

    return frozenset([name]).union(*[one.names for one in templates.values()]), render


def _json_filler(tree: Any) -> Callable[[Filling], Any]:
    if isinstance(tree, str):
        template = template_of(tree)
        if not template.is_one_name:
            return template.fill
        (name,) = template.names
        return lambda values: _json_number(values[name])
    if isinstance(tree, dict):
        group = {key: _json_filler(part) for key, part in tree.items()}
        return lambda values: {key: fill(values) for key, fill in group.items()}
    if isinstance(tree, list | tuple):
        items = [_json_filler(part) for part in tree]
        return lambda values: [fill(values) for fill in items]
    return lambda values: tree


def _json_number(value: str | float) -> str | float:
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _binary(keys: BinaryCommand) -> tuple[frozenset[str], Render]:
    kinds = [LETTERS[part.type] for part in keys.parts]
    layout = struct.Struct(order_letter(keys.order) + "".join(kinds))
    start, parts = keys.starts_with.encode(), keys.parts

    def render(values: Filling) -> bytes:
        numbers: list[float] = []
        for part in parts:
            number: Value = part.number if part.value is None else values[part.value]
            if not isinstance(number, int | float):
                raise ValueError(f"{part.value} is the word {number!r:.40}")
            numbers.append(number if part.type.startswith("float") else round(number))
        try:
            return start + layout.pack(*numbers)
        except (struct.error, OverflowError) as error:
            raise ValueError(str(error)) from None

    return frozenset([part.value for part in parts if part.value is not None]), render


def written(
    names: Sequence[str], values: Mapping[str, Value], writers: Mapping[str, ValueWriter]
) -> dict[str, str | float] | None:
    """What is filled in for ``names``; None while one of them is unknown."""
    found: dict[str, str | float] = {}
    for name in names:
        value = values.get(name)
        if value is None:
            return None
        found[name] = writers[name].write(value)
    return found
