"""Where a figure comes from."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct


class FigureSource(Struct, frozen=True):
    """The source of an electrical figure.

    Attributes:
        text: what it is, for people.
        tag: R read in a stored copy, M from memory, C computed by us.
    """

    text: str
    tag: Literal["R", "M", "C"]

    def __str__(self) -> str:
        return f"{self.text}, from memory, not read" if self.tag == "M" else self.text


COMMON_PRACTICE = FigureSource("common practice, no source", "C")
