"""Conditions of the builder's own, ready to be judged: by thresholds where that wakes less.

A number of one cell is read through thresholds, and a number that changes by itself is asked when
it turns a condition, so that nothing is judged in vain.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf

from panelbridge.logic.kit.condition_times import timed_in, turn_s
from panelbridge.logic.kit.conditions import (
    SAME,
    Compare,
    Comparison,
    Condition,
    Truth,
    condition_from,
    leaves,
    negated,
    truth_of,
)
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Threshold, below
from panelbridge.logic.kit.system import Build
from panelbridge.logic.kit.world import World
from panelbridge.logic.own.parameters import ConditionGroup
from panelbridge.logic.own.what_if import WhatIf
from panelbridge.logic.vocabulary import readable_signals_of
from panelbridge.signals import Reason, Value


class Judged:
    """Conditions and their truth.

    Args:
        conditions: the conditions.
        signals: every signal that they name.

    Raises:
        LogicError: a condition names a signal that does not exist.
    """

    def __init__(self, conditions: Sequence[Condition], signals: Mapping[str, Signal]) -> None:
        self._signals = signals
        self._thresholds: dict[tuple[Handle[float], float], Threshold] = {}
        self._conditions = tuple(conditions)
        self._what_if: dict[int, WhatIf] = {}
        self._leaves = [tuple(leaves(condition)) for condition in conditions]
        self._truths = [truth_of(one, signals, self._by_threshold) for one in conditions]
        self.readings = tuple(self._thresholds.values())
        self._timed = [one for condition in conditions for one in timed_in(condition, signals)]

    @classmethod
    def of(cls, groups: Sequence[ConditionGroup], build: Build) -> Judged:
        """The conditions of groups in the file, over the systems before this one."""
        conditions = [condition_from(group) for group in groups]
        names = {
            name for condition in conditions for leaf in leaves(condition) for name in leaf.signals
        }
        return cls(conditions, readable_signals_of(names, build.aircraft, build.earlier))

    def hold(self, world: World) -> tuple[bool, ...]:
        """Which of them are known to hold."""
        return tuple([truth(world) is True for truth in self._truths])

    def turn_s(self, world: World) -> float:
        """When a number that changes by itself turns one, s; inf = never."""
        return min([turn_s(world, *one) for one in self._timed], default=inf)

    def reasons(self, place: int, world: World) -> tuple[Reason, ...]:
        """What the condition at a place compares."""
        found = [_reason(leaf, self._signals, world) for leaf in self._leaves[place]]
        return tuple(dict.fromkeys(found))

    def what_if(self, place: int) -> WhatIf:
        """The condition at a place, to be asked what would turn it; made when it is asked for."""
        if place not in self._what_if:
            self._what_if[place] = WhatIf(self._conditions[place], self._signals)
        return self._what_if[place]

    def ways(self, place: int, world: World) -> list[tuple[str, ...]]:
        """What would turn the condition at a place, in words."""
        return [tuple([one.words for one in way]) for way in self.what_if(place).ways(world)]

    def _by_threshold(self, compare: Compare, signal: Signal) -> Truth | None:
        cell, value = signal.cell, compare.value
        if cell is None:
            return None
        if value is None:
            known = self._threshold(cell, inf)
            return lambda world: world[known] is None
        limit = float(value)
        low, high = below(limit - SAME), limit + SAME
        at_least, above = self._threshold(cell, low), self._threshold(cell, high)
        truths: Mapping[Comparison, Truth] = {
            Comparison.IS: lambda world: _between(world[at_least], world[above]),
            Comparison.ABOVE: lambda world: world[above],
            Comparison.AT_MOST: lambda world: negated(world[above]),
            Comparison.AT_LEAST: lambda world: world[at_least],
            Comparison.BELOW: lambda world: negated(world[at_least]),
        }
        return truths[compare.comparison]

    def _threshold(self, cell: Handle[float], limit: float) -> Threshold:
        return self._thresholds.setdefault((cell, limit), Threshold(cell, limit))


def _between(at_least: bool | None, above: bool | None) -> bool | None:
    return None if at_least is None else at_least and not above


def _reason(leaf: Compare, signals: Mapping[str, Signal], world: World) -> Reason:
    asked = leaf.comparison.value.replace("_", " ")
    found = [_word(signals[name].read(world)).replace("_", " ") for name in leaf.signals]
    return Reason(
        f"{leaf.signal} {asked} {leaf.other or _word(leaf.value)}",
        truth_of(leaf, signals)(world) is True,
        f"it is {', and that '.join(found)}",
    )


def _word(value: Value) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else value
