"""Watches a scenario on boards: the judge, with what real time forgives.

A condition that is expected now has ``GRACE_S`` to come true; limits are longer, and intervals
shorter at both ends, by it. That an event never comes gets no grace.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import assert_never

from msgspec.structs import replace

from panelbridge.bench.language.expectations import (
    Expectation,
    ExpectCount,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.language.plan import Step
from panelbridge.bench.verdict.judge import Explain, Judge
from panelbridge.bench.verdict.make_monitor import monitor_of
from panelbridge.bench.verdict.monitors import Monitor
from panelbridge.bench.verdict.run_words import expected_words
from panelbridge.bench.verdict.trace import Sample, Trace
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event

GRACE_S = 0.15
"""For the way to the board and back, and the period of snapshots (20 a second), s."""


def with_grace(expectation: Expectation) -> Expectation:
    """The expectation with the time that the way to a board and back may take."""
    match expectation:
        case ExpectNow():
            return ExpectWithin(expectation.condition, GRACE_S, expectation.spot)
        case ExpectWithin() | ExpectOrder():
            return replace(expectation, limit_s=expectation.limit_s + GRACE_S)
        case ExpectThroughout() | ExpectNever():
            # One that is shorter than the grace is looked at once, after it.
            return replace(expectation, for_s=max(expectation.for_s - GRACE_S, 2 * GRACE_S))
        case ExpectCount():
            return replace(expectation, grace_s=GRACE_S)
        case ExpectSilence():
            return expectation
        case _ as unreachable:
            assert_never(unreachable)


class BoardWatch(Judge):
    """Everything that was seen and decided in a run.

    Args:
        specs: every signal.
        sample: the panel before anything was seen.
        explain: gives the reasons behind lamps and horn.
    """

    def __init__(self, specs: Mapping[str, Signal], sample: Sample, explain: Explain) -> None:
        super().__init__(specs, sample, explain, Trace())
        self._of_now: list[Monitor] = []
        self._of_step: list[Event] = []

    def hear(self, event: Event) -> None:
        """Take an event."""
        self._of_step.append(event)
        super().hear(event)

    def begin_step(self, step: Step) -> None:
        """Events from now on belong to ``step``."""
        self._of_step.clear()
        self._of_now.clear()
        super().begin_step(step)

    def expect(self, expectation: Expectation, now_s: float) -> None:
        """Begin to watch for something, from the next sample on."""
        monitor = monitor_of(with_grace(expectation), self._specs, now_s)
        monitor.expected = expected_words(expectation, self._specs)
        is_watched = isinstance(expectation, ExpectThroughout | ExpectNever)
        monitor.looks_from_s = now_s + GRACE_S * is_watched
        self.monitors.append(monitor)
        if isinstance(expectation, ExpectNow):
            self._of_now.append(monitor)
        # Events that came while a person was asked belong to this step too.
        verdicts = map(monitor.hear, self._of_step)
        self._decide([(monitor, next(filter(None, verdicts), None))])

    @property
    def now_is_open(self) -> bool:
        """What is expected now is not decided yet."""
        return any(monitor in self._of_now for monitor in self.monitors)
