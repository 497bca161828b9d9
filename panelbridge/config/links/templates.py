"""Templates of messages: text with names in braces, filled in with values.

A template names values and says how many decimals a number has, and nothing else: no attributes, no
places in lists, no widths (``{x:9999999}`` would be ten megabytes).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from string import Formatter
from typing import Any

from msgspec import Struct

_SPEC = re.compile(r"(\.[0-9])?f|d|", re.ASCII)
_NAME = re.compile(r"[a-z][a-z0-9_]{0,60}", re.ASCII)
_PARSER = Formatter()
WALL_CLOCK = "wall_clock_s"
"""The time of day in place of a value: seconds since 1970, which grow over every start."""
Filling = Mapping[str, str | float]
"""What is filled in, by name."""


class TemplateError(ValueError):
    """A template cannot be used."""


class TextTemplate(Struct, frozen=True):
    """A text with values to fill in.

    Attributes:
        parts: text before a name, the name, and how it is formatted; the last one has no name.
    """

    parts: tuple[tuple[str, str, str], ...]

    @property
    def names(self) -> frozenset[str]:
        """The values that it needs."""
        return frozenset([name for _, name, _ in self.parts if name])

    @property
    def with_decimals(self) -> frozenset[str]:
        """The values that are numbers in it."""
        return frozenset([name for _, name, spec in self.parts if name and spec])

    @property
    def is_one_name(self) -> bool:
        """It is one name and nothing else."""
        return len(self.parts) == 1 and self.parts[0][0] == "" and self.parts[0][2] == ""

    def fill(self, values: Filling) -> str:
        """The text.

        Raises:
            KeyError: a value is missing.
            ValueError: a word stands where decimals are asked for.
        """
        return "".join(
            [
                text + (_formatted(values[name], spec) if name else "")
                for text, name, spec in self.parts
            ]
        )


def _formatted(value: str | float, spec: str) -> str:
    if isinstance(value, str):
        if spec:
            raise ValueError("a word has no decimals")
        return value
    if spec == "d":
        return str(round(value))
    if spec:
        return format(value, spec)
    return str(int(value)) if float(value).is_integer() else f"{value:.6g}"


def template_of(text: str) -> TextTemplate:
    """Read a template.

    Raises:
        TemplateError: with what is wrong, in words.
    """
    try:
        found = [*_PARSER.parse(text)]
    except ValueError:
        raise TemplateError(
            "a brace is not closed: write {name} for a value, and {{ or }} for a brace itself"
        ) from None
    parts = []
    for before, name, spec, conversion in found:
        if name is None:
            parts.append((before, "", ""))
            continue
        if not _NAME.fullmatch(name) or conversion:
            raise TemplateError(
                f"{{{name[:30]}}} is no name of a value; a brace itself is written {{{{ or }}}}"
            )
        if not _SPEC.fullmatch(spec or ""):
            raise TemplateError(
                f"{{{name}:{(spec or '')[:20]}}}: after the colon stand .0f to .9f (decimals), or"
                " d for a whole number"
            )
        parts.append((before, name, spec or ""))
    return TextTemplate(tuple(parts))


def leaves_of(
    tree: Any, path: tuple[str | int, ...] = ()
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Every text in a JSON tree, with the way to it."""
    if isinstance(tree, str):
        yield path, tree
    elif isinstance(tree, dict):
        for key, part in tree.items():
            yield from leaves_of(part, (*path, key))
    elif isinstance(tree, list | tuple):
        for place, part in enumerate(tree):
            yield from leaves_of(part, (*path, place))
