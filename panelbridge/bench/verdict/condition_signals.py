"""Conditions of a scenario: where they stand, what they read, what makes them fail."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import assert_never

from panelbridge.bench.language.expectations import ConditionExpectation, Spot
from panelbridge.bench.language.plan import Step, WaitFor
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.kit.conditions import AllOf, AnyOf, Compare, Condition, Not, leaves, truth_of
from panelbridge.logic.kit.declarations import Signal


def conditions_of(step: Step) -> Iterator[tuple[Condition, Spot]]:
    """Every condition of a step, and where it stands."""
    if isinstance(step.when, WaitFor):
        yield step.when.condition, step.spot
    for expectation in step.expectations:
        if isinstance(expectation, ConditionExpectation):
            yield expectation.condition, expectation.spot


def signals_in(condition: Condition) -> frozenset[str]:
    """Every signal that the condition reads."""
    return frozenset(name for compare in leaves(condition) for name in compare.signals)


def unknown_in(
    condition: Condition, specs: Mapping[str, Signal], sample: Sample
) -> tuple[str, ...]:
    """The signals of the condition that are unknown in this sample, each once."""
    names = dict.fromkeys(name for compare in leaves(condition) for name in compare.signals)
    return tuple(name for name in names if specs[name].read(sample) is None)


def blamed(
    condition: Condition, specs: Mapping[str, Signal], sample: Sample, *, wanted: bool
) -> tuple[str, ...]:
    """The signals because of which the condition is not as ``wanted`` in this sample.

    Each once, in the order of the condition. When the condition is as wanted, all of its signals.
    """
    if truth_of(condition, specs)(sample) is wanted:
        found = leaves(condition)
    else:
        found = _guilty(condition, specs, sample, wanted=wanted)
    return tuple(dict.fromkeys(name for compare in found for name in compare.signals))


def _guilty(
    condition: Condition, specs: Mapping[str, Signal], sample: Sample, *, wanted: bool
) -> Iterator[Compare]:
    match condition:
        case Compare():
            yield condition
        case AllOf() | AnyOf():
            for part in condition.parts:
                if truth_of(part, specs)(sample) is not wanted:
                    yield from _guilty(part, specs, sample, wanted=wanted)
        case Not():
            yield from _guilty(condition.part, specs, sample, wanted=not wanted)
        case _ as unreachable:
            assert_never(unreachable)
