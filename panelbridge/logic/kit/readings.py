"""Readings of numbers: a threshold, a quantiser.

A *reading* is a cell that follows from a number; a system that reads it is not woken while the
reading stays the same.
"""

from __future__ import annotations

from math import ceil, floor, inf, nextafter
from typing import TypeVar

from panelbridge.logic.kit.handles import Handle

T = TypeVar("T")


class Reading(Handle[T]):
    """A cell that follows from a number.

    Args:
        of: the number.
    """

    def __init__(self, of: Handle[float]) -> None:
        self.name, self.label = of.name, of.label
        self.of = of

    def take(self, number: float | None, before: T | None) -> T | None:
        """The reading of ``number``; ``before`` is the last known reading."""
        raise NotImplementedError

    def band(self, reading: T | None) -> tuple[float, float]:
        """While low < number <= high the reading stays; (inf, -inf) when no number keeps it."""
        raise NotImplementedError


class Threshold(Reading[bool]):
    """A number against a limit with hysteresis; three-valued.

    True above ``on``, False again at or below ``off``; between the two the last known side counts.

    Args:
        of: the number.
        on: it becomes True above this.
        off: it becomes False at or below this; not above ``on``. None = ``on``.
        keeps: the side is kept while the number is unknown; else a number that is found between
            the limits counts as False.
    """

    def __init__(
        self, of: Handle[float], on: float, off: float | None = None, *, keeps: bool = False
    ) -> None:
        super().__init__(of)
        self.on = on
        self.off = on if off is None else off
        self.keeps = keeps

    def take(self, number: float | None, before: bool | None) -> bool | None:
        """True, False, or None while the number is unknown."""
        if number is None:
            return None
        return number > (self.off if before else self.on)

    def band(self, reading: bool | None) -> tuple[float, float]:
        """While low < number <= high the side stays."""
        if reading is None:
            return inf, -inf
        return (self.off, inf) if reading else (-inf, self.on)


_ROUNDING = 1e-6
"""A number this near to a step, in steps, is on it."""


class Quantiser(Reading[int]):
    """A number in whole steps with a play of one step: smaller noise moves nothing.

    The step follows from where the number has turned round, never from how often it is read.

    Args:
        of: the number.
        step: size of a step, in the number's unit, > 0.
    """

    def __init__(self, of: Handle[float], step: float) -> None:
        super().__init__(of)
        self.step = step

    def take(self, number: float | None, before: int | None) -> int | None:
        """The step, or None while the number is unknown."""
        return None if number is None else follow_steps(number / self.step, before)

    def band(self, reading: int | None) -> tuple[float, float]:
        """While low < number <= high the step stays."""
        if reading is None:
            return inf, -inf
        low, high = (reading - 1 + _ROUNDING) * self.step, (reading + 1 - _ROUNDING) * self.step
        return low, below(high)


def follow_steps(steps: float, before: int | None) -> int:
    """The whole step of ``steps``: it follows only once a whole step was made.

    Args:
        steps: a number, in steps.
        before: the step before; None takes the nearest.
    """
    if before is None:
        return round(steps)
    if before - 1 + _ROUNDING < steps < before + 1 - _ROUNDING:
        return before
    return floor(steps + _ROUNDING) if steps > before else ceil(steps - _ROUNDING)


def below(limit: float) -> float:
    """The limit of a threshold that holds at ``limit`` too: the next smaller number."""
    return nextafter(limit, -inf)
