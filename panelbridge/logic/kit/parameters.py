"""The base of every group of parameters in an aircraft file.

A group stands beside the system that reads it, so that a rule, its numbers, their units, ranges and
source are in one place. Nothing here knows of files.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Self

from msgspec import Struct
from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import PydanticCustomError

Key = tuple[str | int, ...]
NOT_IN_ORDER = "not_in_order"
"""The error's type; its context has every broken ``Order`` as ``orders``."""


class Order(Struct, frozen=True):
    """Two numbers, the one of which must not be above the other.

    Attributes:
        low: keys from the group to the one; empty for a number that no key gives.
        low_number: what it is.
        high: keys to the other; empty for a number that no key gives.
        high_number: what it is.
        or_equal: they may be equal.
        derived: what the number without a key is, in words.
    """

    low: Key
    low_number: float
    high: Key
    high_number: float
    or_equal: bool = False
    derived: str = ""

    @property
    def holds(self) -> bool:
        """They are in order."""
        if self.or_equal:
            return self.low_number <= self.high_number
        return self.low_number < self.high_number

    def __str__(self) -> str:
        low, high = (dotted(key) or self.derived for key in (self.low, self.high))
        word = "above" if self.or_equal else "not below"
        return f"{low} {round(self.low_number, 3)} is {word} {high} {round(self.high_number, 3)}"


def dotted(key: Key) -> str:
    """Keys as one word: ``aux_pump.cut_in_psi``."""
    return ".".join([str(part) for part in key])


class Parameters(BaseModel):
    """Frozen, strict (no text turned into numbers), unknown keys refused, no NaN or infinity."""

    # Texts under keys are read where they are shown, not here: config/key_descriptions.py.
    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        defer_build=True,  # most are only ever part of a file's model: a start is a sixth shorter
    )

    def orders(self) -> Iterator[Order]:
        """The numbers that must be in order."""
        yield from ()

    def ordered(self, low: str, high: str, *, or_equal: bool = False) -> Iterator[Order]:
        """The order of two of its numbers by their keys, ``aux_pump.cut_in_psi``; none if null."""
        numbers: list[float] = []
        for name in (low, high):
            value: Any = self
            for part in name.split("."):
                value = getattr(value, part, None)
            if isinstance(value, int | float):
                numbers.append(value)
        if len(numbers) == 2:
            yield Order(
                tuple(low.split(".")), numbers[0], tuple(high.split(".")), numbers[1], or_equal
            )

    @model_validator(mode="after")
    def _numbers_are_in_order(self) -> Self:
        broken = [order for order in self.orders() if not order.holds]
        if broken:
            text = "; ".join([str(order) for order in broken])
            raise PydanticCustomError(NOT_IN_ORDER, "{text}", {"text": text, "orders": broken})
        return self
