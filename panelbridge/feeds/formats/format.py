"""The interfaces of a framing, which cuts a stream up, and of a format, which reads messages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

Field = str | int | Sequence[str | int]
"""Where a field stands: a column's or name's text, its number, or a path of both."""
Raw = float | int | str | bool
"""A field as it came: a number, a text, or true and false."""


class Refused(Exception):  # noqa: N818 - not an error of the program: the sender's
    """A message cannot be read; nothing of it is used.

    Args:
        reason: a short fixed phrase, counted: ``wrong column count``.
        detail: what was wrong with this message, for people.
    """

    def __init__(self, reason: str, detail: str = "") -> None:
        super().__init__(detail or reason)
        self.reason = reason
        self.detail = detail


class Framing(Protocol):
    """Cuts a stream into messages."""

    refused: dict[str, int]
    """What was thrown away, by reason: an overlong line, bytes before a mark."""

    def feed(self, data: bytes) -> list[bytes]:
        """The messages that are whole with ``data``."""
        ...

    def reset(self) -> None:
        """The stream begins again; it may begin in the middle of a message."""
        ...


class Format(Protocol):
    """Reads a message."""

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The fields of a message that were asked for, by the ``Field`` they were asked by.

        A path stands there as a tuple. A field that is not there, is empty or is no finite number
        is left out, so that it becomes unknown; the reason is counted in ``skipped``. Nothing is
        found in a message that is passed over, such as labels.

        Raises:
            Refused: the message as a whole cannot be read.
        """
        ...

    @property
    def skipped(self) -> Mapping[str, int]:
        """Single fields that were left out, by field and reason: ``vg: not a finite number``."""
        ...
