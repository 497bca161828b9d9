"""Single values out of text: what is a number, what is a word, what is neither."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

from panelbridge.feeds.formats.format import Field, Raw, Refused

MAX_TEXT = 200
"""A longer text is no word of a simulator."""
_ENDS = b"\0\r\n"

Path = tuple[str | int, ...]


def path_of(field: Field) -> Path:
    """A field as a way of one or more steps."""
    return (field,) if isinstance(field, str | int) else tuple(field)


def key_of(field: Field) -> Field:
    """By what a field stands in the mapping of ``Format.decode``: a path as a tuple."""
    return field if isinstance(field, str | int) else tuple(field)


def single_steps(fields: Iterable[Field]) -> dict[str | int, Field]:
    """Fields of one step by that step; of a format without paths."""
    return {path_of(field)[0]: key_of(field) for field in fields if len(path_of(field)) == 1}


class SkippedFields(dict[str, int]):
    """Counts fields that were left out, by field and reason: ``vg: not a number``."""

    def add(self, field: Field, reason: str) -> None:
        """Count one."""
        key = f"{'.'.join(str(step) for step in path_of(field))}: {reason}"
        self[key] = self.get(key, 0) + 1


def text_of(data: bytes) -> str:
    """A message as text, without what ends it.

    Raises:
        Refused: it is not UTF-8, or empty.
    """
    try:
        text = data.rstrip(_ENDS).decode()
    except UnicodeDecodeError as error:
        raise Refused(
            "not UTF-8 text", f"byte {error.start} is 0x{data[error.start]:02X}"
        ) from None
    if not text:
        raise Refused("empty message")
    return text


def number_or_word(text: str, field: Field, skipped: SkippedFields) -> Raw | None:
    """The value that ``text`` stands for; None when it is empty, too long, NaN or infinite.

    Only plain ASCII counts as a number: Python's ``float`` also takes ``1_0`` and foreign digits.
    """
    try:
        number = float(text) if text.isascii() and "_" not in text else None
    except ValueError:
        number = None
    if number is None:
        word = text.strip()
        if not word or len(word) > MAX_TEXT:
            skipped.add(field, "too long a text" if word else "empty")
            return None
        return word
    if not isfinite(number):
        skipped.add(field, "not a finite number")
        return None
    return number
