"""Expectations while they run: each watches samples and events until it is decided.

A limit counts as met at the limit itself; an interval ends just before its end. Both are kept from
the last bits of sums of seconds by ``EPSILON_S``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import assert_never

from panelbridge.bench.language.plan import (
    EventPattern,
    Expectation,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectThroughout,
    ExpectWithin,
    Spot,
)
from panelbridge.bench.verdict.condition_signals import blamed, unknown_in
from panelbridge.bench.verdict.run_words import (
    actual_words,
    event_line,
    expected_words,
    pattern_words,
)
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.conditions import Condition, truth_of
from panelbridge.logic.signal_table import SignalSpec
from panelbridge.signals import Event

EPSILON_S = 1e-9
"""Times that differ by no more are the same, s."""

Specs = Mapping[str, SignalSpec]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of an expectation.

    Attributes:
        held: it held; None = nobody can say, because signals were unknown.
        actual: what was instead, in words; empty when it held.
        signals: because of which it did not hold, or is not decided.
    """

    held: bool | None
    actual: str = ""
    signals: tuple[str, ...] = ()


HELD = Verdict(True)


class Monitor:
    """An expectation that runs.

    Args:
        expectation: what is expected.
        specs: every signal.
        ends_s: when it is decided at the latest; inf = at the end of the run.
        deadline_s: the same with its ``EPSILON_S``.
        condition: what it looks at; None when it only hears.
    """

    def __init__(
        self,
        expectation: Expectation,
        specs: Specs,
        ends_s: float,
        deadline_s: float,
        condition: Condition | None = None,
    ) -> None:
        self.spot: Spot = expectation.spot
        self.expected = expected_words(expectation, specs)
        self.ends_s = ends_s
        self.deadline_s = deadline_s
        self.looks_from_s = -inf
        """Samples before this time say nothing to it, s."""
        self.condition = condition
        self._specs = specs

    def looks_at(self, time_s: float) -> bool:
        """Whether a sample of this time counts."""
        return time_s >= self.looks_from_s

    def look(self, sample: Sample) -> Verdict | None:
        """Look at a new sample; None while it is not decided."""
        return None

    def hear(self, event: Event) -> Verdict | None:
        """Hear of an event; None while it is not decided."""
        return None

    def expire(self, sample: Sample) -> Verdict:
        """Its time is over, with this as the last sample."""
        return HELD

    def _blame(self, condition: Condition, sample: Sample, *, wanted: bool) -> Verdict:
        signals = blamed(condition, self._specs, sample, wanted=wanted)
        return Verdict(False, actual_words(signals, self._specs, sample), signals)


class NowMonitor(Monitor):
    """Decided by its first sample."""

    def __init__(self, expectation: ExpectNow, specs: Specs, now_s: float) -> None:
        super().__init__(expectation, specs, now_s, now_s, expectation.condition)
        self._condition = expectation.condition
        self._truth = truth_of(expectation.condition, specs)

    def look(self, sample: Sample) -> Verdict | None:
        """Decide."""
        if self._truth(sample):
            return HELD
        return self._blame(self._condition, sample, wanted=True)


class WithinMonitor(Monitor):
    """Waits for its condition."""

    def __init__(self, expectation: ExpectWithin, specs: Specs, now_s: float) -> None:
        ends_s = now_s + expectation.limit_s
        super().__init__(expectation, specs, ends_s, ends_s + EPSILON_S, expectation.condition)
        self._condition = expectation.condition
        self._truth = truth_of(expectation.condition, specs)

    def look(self, sample: Sample) -> Verdict | None:
        """Held as soon as the condition holds."""
        return HELD if self._truth(sample) else None

    def expire(self, sample: Sample) -> Verdict:
        """It did not come to hold."""
        return self._blame(self._condition, sample, wanted=True)


class AlwaysMonitor(Monitor):
    """Throughout and never: fails at the first sample that is not as it should be.

    Throughout fails while its condition is unknown; never is then undecided, unless it fails later.
    """

    def __init__(
        self,
        expectation: ExpectThroughout | ExpectNever,
        condition: Condition,
        specs: Specs,
        now_s: float,
    ) -> None:
        ends_s = now_s + expectation.for_s
        super().__init__(expectation, specs, ends_s, ends_s - EPSILON_S, condition)
        self._condition = condition
        self._wanted = isinstance(expectation, ExpectThroughout)
        self._truth = truth_of(condition, specs)
        self._has_looked = False
        self._unknown: tuple[str, ...] = ()

    def looks_at(self, time_s: float) -> bool:
        """What comes after its interval is none of its business, if it has seen anything."""
        return self.looks_from_s <= time_s and (time_s <= self.deadline_s or not self._has_looked)

    def look(self, sample: Sample) -> Verdict | None:
        """Failed as soon as the condition is not as wanted."""
        self._has_looked = True
        truth = self._truth(sample)
        if truth is None and not self._wanted:
            self._unknown = self._unknown or unknown_in(self._condition, self._specs, sample)
        elif truth is not self._wanted:
            return self._blame(self._condition, sample, wanted=self._wanted)
        return None

    def expire(self, sample: Sample) -> Verdict:
        """Held, unless its condition was unknown."""
        return Verdict(None, signals=self._unknown) if self._unknown else HELD


class SilenceMonitor(Monitor):
    """Never, of an event."""

    def __init__(self, expectation: ExpectNever, specs: Specs, now_s: float) -> None:
        ends_s = now_s + expectation.for_s
        super().__init__(expectation, specs, ends_s, ends_s - EPSILON_S)
        self._name = expectation.event

    def hear(self, event: Event) -> Verdict | None:
        """Failed as soon as it happens."""
        if event.name != self._name:
            return None
        return Verdict(False, f"{event.name}: {event_line(event).strip()}")


class OrderMonitor(Monitor):
    """Waits for its events, one after the other."""

    def __init__(self, expectation: ExpectOrder, specs: Specs, now_s: float) -> None:
        ends_s = now_s + expectation.limit_s
        super().__init__(expectation, specs, ends_s, ends_s + EPSILON_S)
        self._missing = list(expectation.events)
        self._came: list[str] = []

    def hear(self, event: Event) -> Verdict | None:
        """Held when the last one of them has come."""
        if self._missing and _fits(self._missing[0], event):
            pattern = self._missing.pop(0)
            self._came.append(f"{pattern_words(pattern)} at {event.time_s:.3f} s")
        return None if self._missing else HELD

    def expire(self, sample: Sample) -> Verdict:
        """Not all of them came."""
        came = ", ".join(self._came) + ", then " if self._came else ""
        return Verdict(False, f"{came}no {pattern_words(self._missing[0])}")


def _fits(pattern: EventPattern, event: Event) -> bool:
    return pattern.name == event.name and pattern.subject in ("", event.subject)


def monitor_of(expectation: Expectation, specs: Specs, now_s: float) -> Monitor:
    """The monitor of an expectation that begins now."""
    match expectation:
        case ExpectNow():
            return NowMonitor(expectation, specs, now_s)
        case ExpectWithin():
            return WithinMonitor(expectation, specs, now_s)
        case ExpectThroughout():
            return AlwaysMonitor(expectation, expectation.condition, specs, now_s)
        case ExpectNever():
            if expectation.condition is not None:
                return AlwaysMonitor(expectation, expectation.condition, specs, now_s)
            return SilenceMonitor(expectation, specs, now_s)
        case ExpectOrder():
            return OrderMonitor(expectation, specs, now_s)
        case _ as unreachable:
            assert_never(unreachable)
