"""One thing that is electrically wrong or worth knowing."""

from __future__ import annotations

from enum import IntEnum

from msgspec import Struct


class FindingLevel(IntEnum):
    """How bad it is."""

    NOTE = 1
    """Worth knowing; stands on the wiring sheet only."""
    WARNING = 2
    """Works badly, or beyond what a data sheet guarantees."""
    ERROR = 3
    """Beyond what something survives, or it cannot work."""


class Finding(Struct, frozen=True):
    """One thing that is electrically wrong or worth knowing.

    Attributes:
        place: the way to its value in the panel file.
        what: what it is, one sentence without a full stop.
        hint: what to do about it.
        level: how bad it is.
    """

    place: tuple[str, ...]
    what: str
    hint: str
    level: FindingLevel = FindingLevel.WARNING
