"""What would turn a condition on signals: the fewest signals, and the nearest values of them.

Each way is tried on the condition itself before it is given, with everything else as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import assert_never

from msgspec import Struct

from panelbridge.logic.kit.conditions import (
    SAME,
    AllOf,
    AnyOf,
    Compare,
    Comparison,
    Condition,
    Not,
    leaves,
    truth_of,
)
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World
from panelbridge.signals import Value

MOST_WAYS = 4
_MOST_TRIED = 1500
"""Pairs of signals are tried up to so many; then the condition itself says what it asks for."""
_NEAR = 1e-3
"""So much of a limit, at least of 1, is a value beside it."""
_NO_WORLD = World({}, 0.0)


class SignalChange(Struct, frozen=True):
    """A signal with another value.

    Attributes:
        signal: its name.
        value: that it would have.
        words: for people: ``airspeed: above 130 kt (now 120 kt)``.
    """

    signal: str
    value: Value
    words: str


SignalWay = tuple[SignalChange, ...]


class WhatIf:
    """A condition that is asked with other values of its signals.

    Args:
        condition: the condition.
        signals: every signal that it names.
    """

    def __init__(self, condition: Condition, signals: Mapping[str, Signal]) -> None:
        self._condition = condition
        self._leaves = tuple(leaves(condition))
        self._signals = {name: signals[name] for leaf in self._leaves for name in leaf.signals}
        self._values: dict[str, Value] = {}
        asked = {name: self._asked(name, one) for name, one in self._signals.items()}
        self._truth = truth_of(condition, asked)

    def _asked(self, name: str, signal: Signal) -> Signal:
        return replace(signal, read=lambda _: self._values[name], cell=None, curve=None)

    def ways(self, world: World) -> tuple[SignalWay, ...]:
        """The smallest ways to make it hold, or no longer hold; none when none is found."""
        now = {name: one.read(world) for name, one in self._signals.items()}
        before = self._holds(now)
        others = {name: tuple(self._changes(name, now)) for name in self._signals}
        for found in (self._singles(now, others, before), self._pairs(now, others, before)):
            if found:
                return tuple(found[:MOST_WAYS])
        return self._asked_for(now, others, before)

    def _holds(self, values: Mapping[str, Value]) -> bool:
        self._values = dict(values)
        return self._truth(_NO_WORLD) is True

    def _turns(self, now: Mapping[str, Value], way: SignalWay, before: bool) -> bool:
        return self._holds({**now, **{one.signal: one.value for one in way}}) is not before

    def _singles(
        self, now: Mapping[str, Value], others: Mapping[str, Sequence[SignalChange]], before: bool
    ) -> list[SignalWay]:
        """For each signal that turns it alone its nearest value."""
        found: list[SignalWay] = []
        for changes in others.values():
            way = next((one for one in changes if self._turns(now, (one,), before)), None)
            if way is not None:
                found.append((way,))
        return found

    def _pairs(
        self, now: Mapping[str, Value], others: Mapping[str, Sequence[SignalChange]], before: bool
    ) -> list[SignalWay]:
        found: list[SignalWay] = []
        left = _MOST_TRIED
        for one, other in combinations(others, 2):
            left -= len(others[one]) * len(others[other])
            if left < 0:
                break
            ways = product(others[one], others[other])
            way = next((way for way in ways if self._turns(now, way, before)), None)
            if way is not None:
                found.append(way)
        return found

    def _asked_for(
        self, now: Mapping[str, Value], others: Mapping[str, Sequence[SignalChange]], before: bool
    ) -> tuple[SignalWay, ...]:
        """What the condition asks for, part by part; tried like the others."""
        wanted: dict[str, list[tuple[Compare, bool]]] = {}
        for leaf, truth in self._required(self._condition, not before, now):
            wanted.setdefault(leaf.signal, []).append((leaf, truth))
        way: list[SignalChange] = []
        for name, asked in wanted.items():
            values = dict(now)
            for change in others[name]:
                values[name] = change.value
                if all(self._leaf(leaf, values) is truth for leaf, truth in asked):
                    way.append(change)
                    break
        for one in tuple(way):  # one may be superfluous: beside an unknown part, for example
            fewer = tuple([other for other in way if other is not one])
            if fewer and self._turns(now, fewer, before):
                way.remove(one)
        return (tuple(way),) if self._turns(now, tuple(way), before) else ()

    def _leaf(self, leaf: Compare, values: Mapping[str, Value]) -> bool | None:
        self._values = dict(values)
        asked = {name: self._asked(name, self._signals[name]) for name in leaf.signals}
        return truth_of(leaf, asked)(_NO_WORLD)

    def _required(
        self, condition: Condition, truth: bool, now: Mapping[str, Value]
    ) -> list[tuple[Compare, bool]]:
        """The comparisons that must turn so that a condition has a truth: the fewest."""
        match condition:
            case Compare():
                return [] if self._leaf(condition, now) is truth else [(condition, truth)]
            case Not():
                return self._required(condition.part, not truth, now)
            case AllOf() | AnyOf():
                each = [self._required(part, truth, now) for part in condition.parts]
                if isinstance(condition, AllOf) is truth:
                    return [one for part in each for one in part]
                return min(each, key=len)
            case _ as unreachable:
                assert_never(unreachable)

    def _changes(self, name: str, now: Mapping[str, Value]) -> Iterator[SignalChange]:
        """The values of a signal that can matter, but its own; the nearest first."""
        signal, value = self._signals[name], now[name]
        here = [leaf for leaf in self._leaves if name in leaf.signals]
        unit = f" {signal.unit}" if signal.unit else ""
        told = "unknown" if value is None else _word(value) + unit
        if signal.form == "number":
            choices = self._numbers(signal, here, now)
        else:
            choices = [(one, _word(one)) for one in _words(signal, here) if one != value]
        for one, words in choices:
            yield SignalChange(name, one, f"{signal.label}: {words}{unit} (now {told})")
        asks_for_unknown = any(
            leaf.comparison is Comparison.IS and leaf.value is None and not leaf.other
            for leaf in here
        )
        if asks_for_unknown and value is not None:
            yield SignalChange(name, None, f"{signal.label}: unknown (now {told})")

    def _numbers(
        self, signal: Signal, here: Iterable[Compare], now: Mapping[str, Value]
    ) -> list[tuple[Value, str]]:
        value = now[signal.name]
        limits: dict[float, bool] = {}
        for leaf in here:
            limit = leaf.value
            if leaf.other:
                limit = now[leaf.other if leaf.signal == signal.name else leaf.signal]
            if isinstance(limit, (int, float)):
                exact = leaf.comparison is Comparison.IS
                limits[float(limit)] = limits.get(float(limit), False) or exact
        number = float(value) if isinstance(value, (int, float)) else None
        found: list[tuple[Value, str]] = []
        known = sorted(limits)
        for at, limit in enumerate(known):
            step = max(abs(limit), 1.0) * _NEAR
            if at + 1 < len(known):
                step = min(step, (known[at + 1] - limit) / 3.0)
            below = max(abs(limit), 1.0) * _NEAR
            if at:
                below = min(below, (limit - known[at - 1]) / 3.0)
            word = "at least" if number is not None and number < limit else "at most"
            is_exact = limits[limit] or number is None
            text = f"{limit:g}" if is_exact else f"{word} {limit:g}"
            found += [(limit, text), (limit - below, f"below {limit:g}")]
            found.append((limit + step, f"above {limit:g}"))
        inside = [one for one in found if _is_between(one[0], signal)]
        if number is None:
            return inside
        inside = [one for one in inside if abs(_number(one[0]) - number) > SAME]
        return sorted(inside, key=lambda one: abs(_number(one[0]) - number))


def _number(value: Value) -> float:
    assert isinstance(value, (int, float))
    return float(value)


def _is_between(value: Value, signal: Signal) -> bool:
    return signal.low <= _number(value) <= signal.high


def _words(signal: Signal, here: Iterable[Compare]) -> list[Value]:
    if signal.form == "yes_no":
        return [True, False]
    asked: list[Value] = [leaf.value for leaf in here if leaf.value is not None]
    return list(dict.fromkeys([*asked, *signal.words]))


def _word(value: Value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else str(value).replace("_", " ")
