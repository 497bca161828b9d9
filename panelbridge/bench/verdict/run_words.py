"""The words of a run: conditions, values, expectations and actions as failures show them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf
from typing import assert_never

from panelbridge.bench.language.expectations import (
    EventPattern,
    Expectation,
    ExpectCount,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.language.plan import (
    Action,
    AddNoise,
    At,
    ClearFault,
    MoveSwitch,
    RampValues,
    SetFault,
    SetValues,
    Step,
    WaitFor,
    WaitForEvent,
)
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.kit.conditions import AllOf, AnyOf, Compare, Comparison, Condition, Not
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event, Value

Specs = Mapping[str, Signal]
_FEWEST_DIGITS = 6


def value_words(value: Value, unit: str = "") -> str:
    """A value: a word, a number with its unit, true or false, unknown."""
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        number = f"{value:.{_FEWEST_DIGITS}g}"
        return f"{number} {unit}" if unit else number
    return value


def condition_words(condition: Condition, specs: Specs, *, inner: bool = False) -> str:
    """A condition; with ``inner`` in brackets when it has parts."""
    match condition:
        case Compare():
            unit = specs[condition.signal].unit
            value = condition.other or value_words(condition.value, unit)
            how = condition.comparison.replace("_", " ")
            return f"{condition.signal} {how} {value}"
        case AllOf() | AnyOf():
            if len(condition.parts) == 1:
                return condition_words(condition.parts[0], specs, inner=inner)
            word = " and " if isinstance(condition, AllOf) else " or "
            text = word.join(condition_words(p, specs, inner=True) for p in condition.parts)
            return f"({text})" if inner else text
        case Not():
            return f"not {condition_words(condition.part, specs, inner=True)}"
        case _ as unreachable:
            assert_never(unreachable)


def actual_words(signals: Iterable[str], specs: Specs, sample: Sample) -> str:
    """What the signals are in a sample."""
    return ", ".join(
        f"{name} {Comparison.IS} {value_words(specs[name].read(sample), specs[name].unit)}"
        for name in signals
    )


def expected_words(expectation: Expectation, specs: Specs) -> str:
    """What is expected."""
    match expectation:
        case ExpectNow():
            return condition_words(expectation.condition, specs)
        case ExpectWithin():
            words = condition_words(expectation.condition, specs)
            return f"{words}, within {expectation.limit_s:g} s"
        case ExpectThroughout():
            words = condition_words(expectation.condition, specs)
            return f"{words}, {_throughout(expectation.for_s)}"
        case ExpectNever():
            words = condition_words(expectation.condition, specs)
            return f"never {words}, {_throughout(expectation.for_s)}"
        case ExpectSilence() | ExpectOrder() | ExpectCount():
            return _events_words(expectation)
        case _ as unreachable:
            assert_never(unreachable)


def _events_words(expectation: ExpectSilence | ExpectOrder | ExpectCount) -> str:
    if isinstance(expectation, ExpectSilence):
        return f"never {expectation.event}, {_throughout(expectation.for_s)}"
    if isinstance(expectation, ExpectCount):
        words = f"{pattern_words(expectation.event)} {times_words(expectation.count)}"
        return f"{words}, {_throughout(expectation.for_s)}"
    words = ", then ".join(pattern_words(p) for p in expectation.events)
    limit_s = expectation.limit_s
    return f"{words}, {'to the end' if limit_s == inf else f'within {limit_s:g} s'}"


def wait_words(when: WaitFor | WaitForEvent, specs: Specs) -> str:
    """What a step waits for."""
    if isinstance(when, WaitForEvent):
        words = pattern_words(when.event)
    else:
        words = condition_words(when.condition, specs)
    return f"{words}, within {when.limit_s:g} s"


def times_words(count: int) -> str:
    """How often an event comes."""
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def begin_words(when: At, now_s: float) -> tuple[str, str]:
    """When a step should have begun, and when it could."""
    expected = f"this step begins at {when.time_s:g} s"
    return expected, f"the step before it began at {now_s:.3f} s only, after a wait"


def _throughout(for_s: float) -> str:
    return "throughout, to the end" if for_s == inf else f"throughout {for_s:g} s"


def pattern_words(pattern: EventPattern) -> str:
    """An event that is waited for."""
    return f"{pattern.name} ({pattern.subject})" if pattern.subject else pattern.name


def event_line(event: Event) -> str:
    """An event on one line."""
    return f"{event.time_s:9.3f} s  {event.text}"


def step_words(step: Step) -> str:
    """A step: its note, else its actions; a step that only looks is a check."""
    return step.note or "; ".join(action_words(action) for action in step.actions) or "check"


def action_words(action: Action) -> str:
    """What is done."""
    match action:
        case SetValues():
            return ", ".join(f"{n} {value_words(v)}" for n, v in action.values.items())
        case RampValues():
            targets = ", ".join(f"{n} to {value_words(v)}" for n, v in action.targets.items())
            return f"{targets} over {action.over_s:g} s"
        case AddNoise():
            noise = ", ".join(f"{n} by {value_words(v)}" for n, v in action.amplitudes.items())
            lasting = f" for {action.for_s:g} s" if action.for_s < inf else ""
            return f"noise: {noise}{lasting}"
        case MoveSwitch():
            return f"{action.switch} {value_words(action.position)}"
        case SetFault():
            rattling = f", {action.rattles_s:g} s at each movement" if action.rattles_s else ""
            lasting = f", for {action.lasts_s:g} s" if action.lasts_s < inf else ""
            return f"fault: {action.target} {action.kind}{rattling}{lasting}"
        case ClearFault():
            return f"mended: {action.target}"
        case _ as unreachable:
            assert_never(unreachable)
