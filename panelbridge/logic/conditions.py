"""Conditions on named signals: all, any, not, and comparisons. Data only, no code in files.

Scenarios and a builder's own lamps use the same conditions. For a lamp a condition has three
values: it holds, it does not, or nobody can know, because a signal is unknown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, assert_never

from panelbridge.errors import LogicError
from panelbridge.logic.signal_table import Shown, SignalSpec
from panelbridge.signals import Value

UNKNOWN = "unknown"
"""The word for a value that is not known."""
ANY, ALL, NOT = "any", "all", "not"
SAME = 1e-9
"""Numbers that differ by no more are the same: sums of tenths are not exact."""
Truth = Callable[[Shown], bool | None]


class Comparison(StrEnum):
    """How a signal is held against a value."""

    IS = "is"
    ABOVE = "above"
    BELOW = "below"
    AT_LEAST = "at_least"
    AT_MOST = "at_most"


@dataclass(frozen=True, slots=True)
class Compare:
    """One signal against one value.

    Attributes:
        signal: its name in ``bench/language/signals_by_name.py``.
        comparison: how; numbers know all of them, words and yes/no only IS.
        value: what it is held against.
    """

    signal: str
    comparison: Comparison
    value: Value


@dataclass(frozen=True, slots=True)
class AllOf:
    """Every part holds; also what a mapping of several signals means."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
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


def condition_from(group: Mapping[str, Any]) -> Condition:
    """The condition that a group of signals in a file is; the file was checked when it was loaded.

    Raises:
        LogicError: it is no such group.
    """
    parts = [_part(key, value) for key, value in group.items()]
    if not parts:
        raise LogicError("a condition names no signal")
    return parts[0] if len(parts) == 1 else AllOf(tuple(parts))


def _part(key: str, value: Any) -> Condition:
    if key in (ANY, ALL):
        parts = tuple(condition_from(part) for part in value)
        return AnyOf(parts) if key == ANY else AllOf(parts)
    if key == NOT:
        return Not(condition_from(value))
    if isinstance(value, Mapping):
        limits = [Compare(key, Comparison(name), float(limit)) for name, limit in value.items()]
        return limits[0] if len(limits) == 1 else AllOf(tuple(limits))
    if isinstance(value, list):
        return AnyOf(tuple(_is(key, one) for one in value))
    return _is(key, value)


def _is(signal: str, value: Any) -> Compare:
    return Compare(signal, Comparison.IS, None if value == UNKNOWN else value)


def truth_of(condition: Condition, specs: Mapping[str, SignalSpec]) -> Truth:
    """The condition as a function: True, False, or None while an unknown signal leaves it open.

    Raises:
        LogicError: a signal that is not in ``specs``.
    """
    match condition:
        case Compare():
            return _comparison(condition, specs)
        case AllOf():
            every = [truth_of(part, specs) for part in condition.parts]
            return lambda shown: _all([part(shown) for part in every])
        case AnyOf():
            some = [truth_of(part, specs) for part in condition.parts]
            return lambda shown: _not(_all([_not(part(shown)) for part in some]))
        case Not():
            one = truth_of(condition.part, specs)
            return lambda shown: _not(one(shown))
        case _ as unreachable:
            assert_never(unreachable)


def _all(truths: list[bool | None]) -> bool | None:
    if False in truths:
        return False
    return None if None in truths else True


def _not(truth: bool | None) -> bool | None:
    return None if truth is None else not truth


def _comparison(compare: Compare, specs: Mapping[str, SignalSpec]) -> Truth:
    spec = specs.get(compare.signal)
    if spec is None:
        raise LogicError(f"there is no signal '{compare.signal}'")
    read, value = spec.read, compare.value
    if value is None:
        return lambda shown: read(shown) is None
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        test = compares(compare.comparison, float(value))

        def number(shown: Shown) -> bool | None:
            found = read(shown)
            return test(float(found)) if isinstance(found, (int, float)) else None

        return number

    def word(shown: Shown) -> bool | None:
        found = read(shown)
        return None if found is None else found == value

    return word
