"""What a plain word in a YAML file means: the rule of JSON, and nothing cleverer.

Only ``true`` and ``false`` are booleans, only ``null``, ``~`` and nothing at all are null, and a
number is what JSON calls a number. Everything else stays the text that was written: ``on``, ``no``,
``010``, ``12:30``, ``0x10``, ``1_000``, ``.5``, ``2026-01-31``. A text in quotes is always a text.
"""

from __future__ import annotations

import math
import re

_FLOAT = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?", re.ASCII)
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None, "": None}
MAX_DIGITS = 20
"""Longest number that is read, digits; other programs write up to 17."""

Scalar = str | int | float | bool | None


def resolve_plain(text: str) -> Scalar:
    """The value of ``text`` written without quotes.

    Raises:
        OverflowError: a number with more than ``MAX_DIGITS`` digits, or too large for a float.
    """
    if text in _WORDS:
        return _WORDS[text]
    if not _FLOAT.fullmatch(text):
        return text
    if sum(c.isdigit() for c in text) > MAX_DIGITS:
        raise OverflowError
    if text.lstrip("-").isdigit():
        return int(text)
    number = float(text)
    if not math.isfinite(number):
        raise OverflowError
    return number
