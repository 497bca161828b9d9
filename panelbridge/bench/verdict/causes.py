"""Why a signal that is no lamp is as it is: since when, what changed with it, what set it.

The logic names the signals that stand behind a value; the record says which of them changed at the
instant at which it came to be what it is. A value from outside was set by a step.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import assert_never

from panelbridge.bench.language.plan import (
    ALL,
    FEED,
    Action,
    AddNoise,
    ClearFault,
    MoveSwitch,
    RampValues,
    SetFault,
    SetValues,
    Step,
)
from panelbridge.bench.verdict.failure import Cause
from panelbridge.bench.verdict.run_words import value_words
from panelbridge.bench.verdict.trace import Sample, Stepping, Trace
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event, Reason

FROM_OUTSIDE = ("aircraft", "switch")
"""Groups of signals that a scenario sets or moves."""
INSTANT_S = 1e-9


def cause_of(
    signal: Signal,
    specs: Mapping[str, Signal],
    trace: Trace,
    reasons: Iterable[Reason],
    begun: Iterable[tuple[float, Step]],
) -> Cause:
    """Why a signal is as it was in the last sample.

    Args:
        signal: the signal.
        specs: every signal.
        trace: the record of the run.
        reasons: the signals behind it, as the logic names them.
        begun: the steps that have begun, and when.
    """
    now = trace.samples[-1]
    value = value_words(signal.read(now), signal.unit)
    behind = [specs[reason.condition] for reason in reasons if reason.condition in specs]
    faults = [f"{one.condition}: {one.detail}" for one in reasons if one.condition not in specs]
    before, after = _change(signal, trace)
    is_moving = isinstance(now._over.get(signal.cell), Stepping) or signal.moving(now) is not None
    spot = None
    if signal.group in FROM_OUTSIDE:
        until_s = now.time_s if is_moving or after is None else after.time_s
        steps = [one for time_s, one in begun if time_s <= until_s + INSTANT_S]
        spots = [step.spot for step in steps if any(_is_about(a, signal) for a in step.actions)]
        spot = spots[-1] if spots else None
    if before is None or after is None or is_moving:
        others = (*faults, *(_words(one, now) for one in behind))
        return Cause(value, is_moving=is_moving, others=others, spot=spot)
    changed = [one for one in behind if one.read(before) != one.read(after)]
    return Cause(
        value,
        after.time_s,
        value_words(signal.read(before), signal.unit),
        changed=tuple(_words(one, after) for one in changed),
        events=tuple(event.text for event in _events_at(after.time_s, trace, signal)),
        others=(*faults, *(_words(one, now) for one in behind if one not in changed)),
        spot=spot,
    )


def _events_at(time_s: float, trace: Trace, signal: Signal) -> list[Event]:
    """What happened at an instant; only that about the signal's leg or wheel where there is any."""
    found = [one for one in trace.events if abs(one.time_s - time_s) <= INSTANT_S]
    about = [one for one in found if one.subject and one.subject in signal.name]
    return about or found


def _is_about(action: Action, signal: Signal) -> bool:
    """Whether an action sets, moves, breaks or mends a signal from outside."""
    match action:
        case SetValues():
            return signal.name in action.values
        case RampValues():
            return signal.name in action.targets
        case AddNoise():
            return signal.name in action.amplitudes
        case MoveSwitch():
            return signal.name == action.switch
        case SetFault() | ClearFault():
            every = FEED if signal.group == "aircraft" else ALL
            return action.target in (signal.name, every, ALL)
        case _ as unreachable:
            assert_never(unreachable)


def _words(signal: Signal, sample: Sample) -> str:
    return f"{signal.name} is {value_words(signal.read(sample), signal.unit)}"


def _change(signal: Signal, trace: Trace) -> tuple[Sample | None, Sample | None]:
    """The last sample before the signal became what it is, and the last one of that instant."""
    before: Sample | None = None
    found: tuple[Sample | None, Sample | None] = None, None
    last: Sample | None = None
    for sample in trace.samples.whole:
        if last is not None and sample.time_s > last.time_s + INSTANT_S:
            before = last
        if before is not None and signal.read(before) != signal.read(sample):
            found = before, sample
        elif found[1] is not None and sample.time_s <= found[1].time_s + INSTANT_S:
            found = None, None  # within the instant it went back
        last = sample
    return found
