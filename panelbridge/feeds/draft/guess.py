"""A guess at a format, and how well it fits what was heard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec import Struct, field

from panelbridge.feeds.formats.format import Field


class FieldSeries(Struct, frozen=True):
    """A field as it was read, message by message, by the format that was guessed.

    Attributes:
        at: where it stands, as the key ``at`` of a feed file.
        times_s: when it came.
        values: what came.
        doubt: why its type or place may be wrong; empty when it seems certain.
    """

    at: Field
    times_s: Sequence[float]
    values: Sequence[float | int | str | bool]
    doubt: str = ""

    @property
    def numbers(self) -> list[float]:
        """Its values, when all of them are numbers; else none."""
        found = [float(v) for v in self.values if isinstance(v, int | float)]
        return found if len(found) == len(self.values) else []

    @property
    def words(self) -> list[str]:
        """Its different words, when it has some."""
        return sorted({v for v in self.values if isinstance(v, str)})

    @property
    def is_constant(self) -> bool:
        """It never changed."""
        return len(set(self.values)) < 2


class Guess(Struct, frozen=True):
    """A format.

    Attributes:
        keys: the keys of ``message:`` in a feed file.
        fields: where its fields stand.
        doubts: what may be wrong, in words; empty when it seems certain.
        unsure_fields: why a field's type may be wrong, by the field.
        notes: what else was seen.
    """

    keys: dict[str, Any]
    fields: Sequence[Field]
    doubts: Sequence[str] = ()
    unsure_fields: dict[Field, str] = field(default_factory=dict)
    notes: Sequence[str] = ()
