"""Conditions on named signals: one parser and one evaluator for every file that has them.

A condition is data: comparisons put together by ``all``, ``any`` and ``not``; several keys of one
group are an ``all``. Its truth has three values: true, false and unknown. Every comparison with an
unknown signal is unknown, except ``x: unknown``, which is always true or false. So:

    x          x: 100    x: {above: 100}    x: unknown
    unknown    unknown   unknown            true
    100        true      false              false
    150        false     true               false

    a          b          all: [a, b]    any: [a, b]    not: a
    true       true       true           true           false
    true       false      false          true           false
    true       unknown    unknown        true           false
    false      true       false          true           true
    false      false      false          false          true
    false      unknown    false          unknown        true
    unknown    true       unknown        true           unknown
    unknown    false      false          unknown        unknown
    unknown    unknown    unknown        unknown        unknown

A lamp is lit, an expectation passes and a wait ends only while the condition is true. What must
``never`` be is undecided once its condition was unknown, unless it was true at some time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import partial
from types import MappingProxyType
from typing import Any, assert_never

from msgspec import Struct

from panelbridge.errors import LogicError
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World
from panelbridge.signals import Value

UNKNOWN = "unknown"
"""The word for a value that is not known."""
ANY, ALL, NOT = "any", "all", "not"
SAME = 1e-9
"""Numbers that differ by no more are the same: sums of tenths are not exact."""
Truth = Callable[[World], bool | None]


class Comparison(StrEnum):
    """How a signal is held against a value."""

    IS = "is"
    ABOVE = "above"
    BELOW = "below"
    AT_LEAST = "at_least"
    AT_MOST = "at_most"


class Compare(Struct, frozen=True):
    """One signal against one value, or one number against another signal.

    Attributes:
        signal: its name in the vocabulary.
        comparison: how; numbers know all of them, words and yes/no only IS.
        value: what it is held against; None with ``other``, and for unknown.
        other: the signal that it is held against; empty without one.
    """

    signal: str
    comparison: Comparison
    value: Value
    other: str = ""

    @property
    def signals(self) -> tuple[str, ...]:
        """What it reads."""
        return (self.signal, self.other) if self.other else (self.signal,)


class AllOf(Struct, frozen=True):
    """Every part holds; also what a mapping of several signals means."""

    parts: tuple[Condition, ...]


class AnyOf(Struct, frozen=True):
    """At least one part holds."""

    parts: tuple[Condition, ...]


class Not(Struct, frozen=True):
    """The part does not hold."""

    part: Condition


Condition = Compare | AllOf | AnyOf | Not


def compares(comparison: Comparison, limit: float) -> Callable[[float], bool]:
    """The comparison with a number, as a function of the other number."""
    tests: Mapping[Comparison, Callable[[float], bool]] = {
        Comparison.IS: lambda number: abs(number - limit) <= SAME,
        Comparison.ABOVE: lambda number: number > limit + SAME,
        Comparison.BELOW: lambda number: number < limit - SAME,
        Comparison.AT_LEAST: lambda number: number >= limit - SAME,
        Comparison.AT_MOST: lambda number: number <= limit + SAME,
    }
    return tests[comparison]


def leaves(condition: Condition) -> Iterator[Compare]:
    """Every comparison in it, in order."""
    match condition:
        case Compare():
            yield condition
        case AllOf() | AnyOf():
            for part in condition.parts:
                yield from leaves(part)
        case Not():
            yield from leaves(condition.part)
        case _ as unreachable:
            assert_never(unreachable)


def condition_from(
    group: Mapping[str, Any], sets: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> Condition:
    """The condition of a group in a file; its words and numbers were checked at loading.

    Args:
        group: signals and what they are, with ``any``, ``all`` and ``not``.
        sets: names that stand for several signals, all of which are meant.

    Raises:
        LogicError: the group is empty.
    """
    if not group:
        raise LogicError("a condition names no signal")
    return _together([_part(key, value, sets) for key, value in group.items()])


def _part(key: str, value: Any, sets: Mapping[str, Sequence[str]]) -> Condition:
    if key in (ANY, ALL):
        parts = tuple(condition_from(part, sets) for part in value)
        return AnyOf(parts) if key == ANY else AllOf(parts)
    if key == NOT:
        return Not(condition_from(value, sets))
    return _together([_signal(name, value) for name in sets.get(key, (key,))])


def _signal(name: str, value: Any) -> Condition:
    if isinstance(value, Mapping):
        return _together([_limit(name, Comparison(k), v) for k, v in value.items()])
    if isinstance(value, list):
        return AnyOf(tuple(_is(name, one) for one in value))
    return _is(name, value)


def _limit(signal: str, comparison: Comparison, limit: Any) -> Compare:
    if isinstance(limit, str):
        return Compare(signal, comparison, None, limit)
    return Compare(signal, comparison, float(limit))


def _is(signal: str, value: Any) -> Compare:
    return Compare(signal, Comparison.IS, None if value == UNKNOWN else value)


def _together(parts: Sequence[Condition]) -> Condition:
    return parts[0] if len(parts) == 1 else AllOf(tuple(parts))


Special = Callable[[Compare, Signal], Truth | None]
"""Another way to evaluate a comparison, or None for the plain one."""


def truth_of(
    condition: Condition, signals: Mapping[str, Signal], special: Special | None = None
) -> Truth:
    """The condition as a function: True, False, or None while an unknown signal leaves it open.

    Args:
        condition: the condition.
        signals: every signal that it may name.
        special: asked first for each comparison.

    Raises:
        LogicError: it names a signal that is not in ``signals``.
    """
    match condition:
        case Compare():
            return _comparison(condition, signals, special)
        case AllOf() | AnyOf():
            parts = [truth_of(part, signals, special) for part in condition.parts]
            if len(parts) == 1:
                return parts[0]
            return partial(_decide, parts, isinstance(condition, AnyOf))
        case Not():
            return partial(_opposite, truth_of(condition.part, signals, special))
        case _ as unreachable:
            assert_never(unreachable)


def _decide(parts: Sequence[Truth], decisive: bool, world: World) -> bool | None:
    """One ``decisive`` part decides; else an unknown part leaves it open."""
    known = True
    for part in parts:
        truth = part(world)
        if truth is decisive:
            return decisive
        if truth is None:
            known = False
    return not decisive if known else None


def _opposite(part: Truth, world: World) -> bool | None:
    return negated(part(world))


def negated(truth: bool | None) -> bool | None:
    """True becomes False, False True; unknown stays unknown."""
    return None if truth is None else not truth


def _comparison(compare: Compare, signals: Mapping[str, Signal], special: Special | None) -> Truth:
    for name in compare.signals:
        if name not in signals:
            raise LogicError(f"no signal is named '{name}'")
    signal = signals[compare.signal]
    if compare.other:
        return between_signals(compare.comparison, signal, signals[compare.other])
    if special is not None and (found := special(compare, signal)) is not None:
        return found
    read, value = signal.read, compare.value
    if value is None:
        return lambda world: read(world) is None
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        test = compares(compare.comparison, float(value))

        def number(world: World) -> bool | None:
            found = read(world)
            return test(float(found)) if isinstance(found, (int, float)) else None

        return number

    def word(world: World) -> bool | None:
        found = read(world)
        return None if found is None else found == value

    return word


def between_signals(comparison: Comparison, signal: Signal, other: Signal) -> Truth:
    """One number against another, as a function."""

    def numbers(world: World) -> bool | None:
        found, limit = signal.read(world), other.read(world)
        if not isinstance(found, (int, float)) or not isinstance(limit, (int, float)):
            return None
        return compares(comparison, float(limit))(float(found))

    return numbers
