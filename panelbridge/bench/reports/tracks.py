"""A trace cut into tracks: what one value was, from when to when."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from math import ceil
from typing import Generic, TypeVar

from msgspec import Struct

from panelbridge.bench.verdict.trace import Sample, Trace
from panelbridge.logic.kit.declarations import Signal

V = TypeVar("V")


class Span(Struct, Generic[V], frozen=True):
    """A value that lasted.

    Attributes:
        start_s: since when, s.
        end_s: until when, s; greater than ``start_s`` but for the last instant of a run.
        value: what it was.
    """

    start_s: float
    end_s: float
    value: V


MOST_RAMP_SAMPLES = 20_000
"""With more samples in a run, those on ramps are shown less often."""


def instants(trace: Trace) -> list[Sample]:
    """The samples, one an instant: of several at the same time the last one counts."""
    return [*{sample.time_s: sample for sample in _not_too_many(trace)}.values()]


def _not_too_many(trace: Trace) -> Iterable[Sample]:
    if len(trace.samples) <= MOST_RAMP_SAMPLES:
        return trace.samples
    return trace.samples.spaced(end_of(trace) / MOST_RAMP_SAMPLES)


def with_curve(samples: Iterable[Sample], signal: Signal, step_s: float) -> Iterator[Sample]:
    """The samples, and more of them while the signal changes by itself between two.

    The last one before a sample is of the same time: what the number had come to by then.

    Args:
        samples: as ``instants`` gives them.
        signal: whose curve is followed.
        step_s: the most that lies between two, s, while it moves.
    """
    before: Sample | None = None
    for sample in samples:
        if before is not None and signal.moving(before) is not None:
            gap_s = sample.time_s - before.time_s
            parts = max(ceil(gap_s / step_s), 1)
            for part in range(1, parts):
                yield before.later(before.time_s + gap_s * part / parts)
            yield before.later(sample.time_s)
        yield sample
        before = sample


def end_of(trace: Trace) -> float:
    """When the run ended, s; never before its last sample."""
    return max(trace.end_s, trace.samples[-1].time_s if trace.samples else 0.0)


def spans(
    samples: Iterable[Sample], end_s: float, read: Callable[[Sample], V]
) -> tuple[Span[V], ...]:
    """One value over the run, equal neighbours joined.

    Args:
        samples: as ``instants`` gives them.
        end_s: when the run ended, s.
        read: takes the value out of a sample.
    """
    found = [(next(alike).time_s, value) for value, alike in groupby(samples, read)]
    ends_s = [*(time_s for time_s, _ in found[1:]), end_s]
    return tuple(
        Span(start_s, max(start_s, until_s), value)
        for (start_s, value), until_s in zip(found, ends_s, strict=False)
    )
