"""Conditions on a sample: whether they hold, and which signals are to blame when they do not."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import assert_never

from panelbridge.bench.language.plan import ExpectOrder, Spot, Step, WaitFor
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.conditions import (
    AllOf,
    AnyOf,
    Compare,
    Condition,
    Not,
    compares,
    leaves,
)
from panelbridge.logic.signal_table import SignalSpec

Check = Callable[[Sample], bool]


def check_of(condition: Condition, specs: Mapping[str, SignalSpec]) -> Check:
    """The condition as a function of a sample.

    An unknown signal compares as false with everything but unknown. A signal that is not in
    ``specs`` is a KeyError.
    """
    match condition:
        case Compare():
            return _compare(condition, specs[condition.signal])
        case AllOf():
            parts = [check_of(part, specs) for part in condition.parts]
            return parts[0] if len(parts) == 1 else lambda sample: _all(parts, sample)
        case AnyOf():
            parts = [check_of(part, specs) for part in condition.parts]
            return lambda sample: any(part(sample) for part in parts)
        case Not():
            part = check_of(condition.part, specs)
            return lambda sample: not part(sample)
        case _ as unreachable:
            assert_never(unreachable)


def _all(parts: list[Check], sample: Sample) -> bool:
    for part in parts:  # noqa: SIM110 - looked at fifty times a second, and a loop is faster
        if not part(sample):
            return False
    return True


def _compare(compare: Compare, spec: SignalSpec) -> Check:
    read, value = spec.read, compare.value
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return lambda sample: read(sample) == value
    test = compares(compare.comparison, float(value))

    def check(sample: Sample) -> bool:
        number = read(sample)
        return isinstance(number, (int, float)) and test(number)

    return check


def conditions_of(step: Step) -> Iterator[tuple[Condition, Spot]]:
    """Every condition of a step, and where it stands."""
    if isinstance(step.when, WaitFor):
        yield step.when.condition, step.spot
    for expectation in step.expectations:
        if not isinstance(expectation, ExpectOrder) and expectation.condition is not None:
            yield expectation.condition, expectation.spot


def signals_in(condition: Condition) -> frozenset[str]:
    """Every signal that the condition reads."""
    return frozenset(compare.signal for compare in leaves(condition))


def blamed(
    condition: Condition, specs: Mapping[str, SignalSpec], sample: Sample, *, wanted: bool
) -> tuple[str, ...]:
    """The signals because of which the condition is not as ``wanted`` in this sample.

    Each once, in the order of the condition. When the condition is as wanted, all of its signals.
    """
    if check_of(condition, specs)(sample) is wanted:
        found = leaves(condition)
    else:
        found = _guilty(condition, specs, sample, wanted=wanted)
    return tuple(dict.fromkeys(compare.signal for compare in found))


def _guilty(
    condition: Condition, specs: Mapping[str, SignalSpec], sample: Sample, *, wanted: bool
) -> Iterator[Compare]:
    match condition:
        case Compare():
            yield condition
        case AllOf() | AnyOf():
            for part in condition.parts:
                if check_of(part, specs)(sample) is not wanted:
                    yield from _guilty(part, specs, sample, wanted=wanted)
        case Not():
            yield from _guilty(condition.part, specs, sample, wanted=not wanted)
        case _ as unreachable:
            assert_never(unreachable)
