"""Currents as a typical and a worst value, which add up."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct


class CurrentRange(Struct, frozen=True):
    """A current.

    Attributes:
        typical_ma: with typical parts, mA.
        worst_ma: the largest that their tolerance allows, mA.
    """

    typical_ma: float = 0.0
    worst_ma: float = 0.0

    def __add__(self, other: CurrentRange) -> CurrentRange:
        return CurrentRange(self.typical_ma + other.typical_ma, self.worst_ma + other.worst_ma)

    def __mul__(self, count: int) -> CurrentRange:
        return CurrentRange(self.typical_ma * count, self.worst_ma * count)


NO_CURRENT = CurrentRange()


def total(currents: Iterable[CurrentRange]) -> CurrentRange:
    """The sum of ``currents``."""
    return sum(currents, NO_CURRENT)


def steady(current_ma: float) -> CurrentRange:
    """A current that has one value, mA."""
    return CurrentRange(current_ma, current_ma)
