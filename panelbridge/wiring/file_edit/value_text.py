"""Values as YAML text: short groups in one line, larger ones line by line."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import suppress

from panelbridge.config.yaml_positions import Value
from panelbridge.config.yaml_scalars import Scalar, resolve_plain

_NEEDS_QUOTES = re.compile(
    r"""^$|^[\s\-?:,\[\]{}#&*!|>'"%@`<=]|\s$|[:#\[\]{},]\s|:$|\s#|[\[\]{},\n]|[^\x20-\x7e\xa1-\U0010ffff]"""
)
"""What a plain text may not hold anywhere; a little wider than YAML 1.2 section 7.3.3 says."""
_LONGEST_LINE = 100
_MOST_IN_LINE = 4


def scalar_text(value: Scalar, quote: str = "") -> str:
    """A single value; ``quote`` is the kind of quotes that a text has where it is put."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return json.dumps(value)
    if quote == "'" and value.isprintable():
        return "'" + value.replace("'", "''") + "'"
    plain = False
    with suppress(OverflowError):
        plain = not _NEEDS_QUOTES.search(value) and resolve_plain(value) == value
    return value if plain and not quote else json.dumps(value, ensure_ascii=False)


def in_one_line(value: Value) -> str:
    """Any value in one line: ``{ pin: D4, legend: NOSE }``."""
    if isinstance(value, dict):
        pairs = [f"{scalar_text(key)}: {in_one_line(part)}" for key, part in value.items()]
        return f"{{ {', '.join(pairs)} }}" if pairs else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(in_one_line, value))}]"
    return scalar_text(value)


def fits_in_line(value: Value, column: int, depth: int) -> bool:
    """Whether a value is best written behind its key, in one line.

    Args:
        value: the value.
        column: 0-based column at which it would begin.
        depth: how deep in its part of the file it is; a group at 0 or less is written line by line.
    """
    if not isinstance(value, dict | list) or not value:
        return True
    parts = list(value.values()) if isinstance(value, dict) else value
    if depth <= 0 or len(parts) > _MOST_IN_LINE:
        return False
    short = column + len(in_one_line(value)) <= _LONGEST_LINE
    return short and not any(isinstance(part, dict | list) for part in parts)


def lines_of(value: Value, indent: int, depth: int) -> Iterator[str]:
    """A group or list line by line, without line ends.

    Args:
        value: what is written; neither single nor empty.
        indent: spaces in front of each line.
        depth: how deep in its part of the file the group is.
    """
    space = " " * indent
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from lines_of_key(scalar_text(key), part, indent, depth + 1)
    elif isinstance(value, list):
        for part in value:
            yield f"{space}- {in_one_line(part)}"


def lines_of_key(key: str, value: Value, indent: int, depth: int) -> Iterator[str]:
    """A key with its value, line by line; a key without a value stands alone."""
    head = f"{' ' * indent}{key}:"
    if value is None:
        yield head
    elif fits_in_line(value, len(head) + 1, depth):
        yield f"{head} {in_one_line(value)}"
    else:
        yield head
        yield from lines_of(value, indent + 2, depth)
