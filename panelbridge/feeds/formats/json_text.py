"""JSON, with a way to each value.

RFC 8259 permits neither NaN nor infinity, and says that names should be unique; Python's reader
takes all of it. Here NaN and infinity are unknown, and a message with a name twice is refused.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.values import MAX_TEXT, Path, SkippedFields, key_of, path_of

EXACT = 2**53 - 1
"""Whole numbers beyond this are not exact for every reader (RFC 8259, section 6)."""
_NOTHING = object()


class _TwiceError(ValueError):
    """A name stands twice in one object."""


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise _TwiceError
    return found


_read = json.JSONDecoder(object_pairs_hook=_unique).decode


class JsonText:
    """Reads JSON.

    Args:
        fields: the values that are wanted: a key of the outermost object, or a way through objects
            by keys and lists by numbers from 0.
    """

    def __init__(self, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._wanted: list[tuple[Field, Path]] = [(key_of(one), path_of(one)) for one in fields]

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The wanted values that are in the message. Raises: Refused."""
        try:
            tree = _read(data.rstrip(b"\0").decode())
        except UnicodeDecodeError:
            raise Refused("not UTF-8 text") from None
        except _TwiceError:
            raise Refused("a name twice in one object") from None
        except RecursionError:
            raise Refused("nested too deeply") from None
        except ValueError as error:
            raise Refused("not valid JSON", str(error)) from None
        found: dict[object, Raw] = {}
        for field, path in self._wanted:
            node = tree
            for step in path:
                node = _child(node, step)
            if _is_value(node):
                found[field] = node
            else:
                self.skipped.add(field, _why(node))
        return found


def _child(node: Any, step: str | int) -> Any:
    if type(node) is dict:
        return node.get(step, _NOTHING)
    if type(node) is list and isinstance(step, int) and 0 <= step < len(node):
        return node[step]
    return _NOTHING


def _is_value(node: Any) -> bool:
    """A number that is exact, true or false, or a text that can be shown."""
    kind = type(node)
    if kind is float:
        return isfinite(node)
    if kind is int:
        return bool(-EXACT <= node <= EXACT)
    return kind is bool or (kind is str and len(node) <= MAX_TEXT and not _has_half_pair(node))


def _has_half_pair(text: str) -> bool:
    return not text.isascii() and any("\ud800" <= c <= "\udfff" for c in text)


def _why(node: Any) -> str:
    if node is _NOTHING:
        return "not there"
    if node is None:
        return "null"
    if isinstance(node, float):
        return "not a finite number"
    if isinstance(node, int):
        return "too great a number"
    if isinstance(node, str):
        return "half a character" if len(node) <= MAX_TEXT else "too long a text"
    return "a group, not a value"
