"""When conditions turn by themselves: numbers that change with time come past limits, or meet."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf
from typing import NamedTuple

from panelbridge.logic.kit.conditions import (
    SAME,
    Compare,
    Comparison,
    Condition,
    between_signals,
    compares,
    leaves,
)
from panelbridge.logic.kit.curves import turns
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World

LOOK_S = 0.02
"""Two numbers that both change by themselves are compared this often, s."""


class Timed(NamedTuple):
    """A comparison that time alone can turn.

    Attributes:
        signal: what is compared.
        compare: the comparison.
        other: the signal that it is compared with; None for a number.
    """

    signal: Signal
    compare: Compare
    other: Signal | None = None

    def drifts(self, world: World) -> bool:
        """Whether a number of it changes by itself now."""
        both = (self.signal, self.other)
        return any(one is not None and one.moving(world) is not None for one in both)


def timed_in(condition: Condition, signals: Mapping[str, Signal]) -> tuple[Timed, ...]:
    """The comparisons of numbers in the condition that can change by themselves."""
    every = [
        Timed(signals[one.signal], one, signals[one.other] if one.other else None)
        for one in leaves(condition)
    ]
    return tuple(
        [
            one
            for one in every
            if one.signal.curve is not None or (one.other and one.other.curve is not None)
        ]
    )


def turn_s(world: World, signal: Signal, compare: Compare, other: Signal | None = None) -> float:
    """When a number that changes by itself next turns a comparison, s; inf = never.

    Args:
        world: from its instant on.
        signal: the signal that is compared.
        compare: the comparison.
        other: the signal that it is compared with; None for a number.
    """
    curve = signal.curve(world) if signal.curve is not None else None
    limit = compare.value
    if other is not None:
        if curve is None or other.moving(world) is not None:
            return _meeting_s(world, signal, compare, other)
        limit = other.read(world)
    if curve is None or not isinstance(limit, (int, float)):
        return inf
    limit = float(limit)
    test = compares(compare.comparison, limit)
    levels: tuple[float, ...] = (limit - SAME, limit + SAME)
    if compare.comparison is Comparison.IS and not test(curve.at(world.now_s)):
        levels = (limit,)  # met on the value itself, not where it begins to count as the same
    return min(turns(curve, level, world.now_s, test) for level in levels)


_MIRRORED = {
    Comparison.ABOVE: Comparison.BELOW,
    Comparison.BELOW: Comparison.ABOVE,
    Comparison.AT_LEAST: Comparison.AT_MOST,
    Comparison.AT_MOST: Comparison.AT_LEAST,
}


def _meeting_s(world: World, signal: Signal, compare: Compare, other: Signal) -> float:
    """When two signals turn their comparison; or when to look again, while both are on their way.

    Two curves can meet more than once, so no formula gives the next time: within the next step it
    is found by halving, to the last digit.
    """
    if signal.moving(world) is None:
        if other.moving(world) is None:
            return inf
        mirrored = Compare(other.name, _MIRRORED[compare.comparison], None, signal.name)
        return turn_s(world, other, mirrored, signal)
    truth = between_signals(compare.comparison, signal, other)
    before, low_s, high_s = truth(world), world.now_s, world.now_s + LOOK_S
    if truth(world.at(high_s)) is before:
        return high_s
    while low_s < (middle_s := (low_s + high_s) / 2.0) < high_s:
        if truth(world.at(middle_s)) is before:
            low_s = middle_s
        else:
            high_s = middle_s
    return high_s
