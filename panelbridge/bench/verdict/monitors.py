"""Expectations while they run: each watches samples and events until it is decided.

A limit is met at the limit itself; an interval ends just before its end.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from msgspec import Struct

from panelbridge.bench.language.expectations import (
    ConditionExpectation,
    EventPattern,
    Expectation,
    ExpectThroughout,
    Spot,
)
from panelbridge.bench.verdict.condition_signals import blamed, unknown_in
from panelbridge.bench.verdict.run_words import actual_words, expected_words
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.kit.condition_times import Timed, timed_in
from panelbridge.logic.kit.conditions import truth_of
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event

EPSILON_S = 1e-9
"""Times that differ by no more are the same, s."""

Specs = Mapping[str, Signal]


class Verdict(Struct, frozen=True):
    """What became of an expectation.

    Attributes:
        held: it held; None = nobody can say, because signals were unknown.
        actual: what was instead, in words; empty when it held.
        signals: because of which it did not hold, or is not decided.
        missing: the event that did not come when it should.
        counted: the events that did.
    """

    held: bool | None
    actual: str = ""
    signals: tuple[str, ...] = ()
    missing: EventPattern | None = None
    counted: tuple[Event, ...] = ()


HELD = Verdict(True)


class Monitor:
    """An expectation that runs.

    Args:
        expectation: what is expected.
        specs: every signal.
        ends_s: when it is decided at the latest; inf = at the end of the run.
    """

    slack_s = -EPSILON_S
    """From its end to its deadline, s: after a limit, before the end of an interval."""

    def __init__(self, expectation: Expectation, specs: Specs, ends_s: float) -> None:
        self.spot: Spot = expectation.spot
        self.expected = expected_words(expectation, specs)
        self.ends_s = ends_s
        self.deadline_s = ends_s + self.slack_s
        self.looks_from_s = -inf
        """Samples before this time do not count, s."""
        self.timed: tuple[Timed, ...] = ()
        """What time alone can turn in its condition."""
        self._specs = specs

    def looks_at(self, time_s: float) -> bool:
        """Whether a sample of this time counts."""
        return time_s >= self.looks_from_s

    def look(self, sample: Sample) -> Verdict | None:
        """Look at a new sample; None while it is not decided."""
        return None

    def hear(self, event: Event) -> Verdict | None:
        """Take an event; None while it is not decided."""
        return None

    def expire(self, sample: Sample) -> Verdict:
        """Its time is over, with this as the last sample."""
        return HELD


class ConditionMonitor(Monitor):
    """Decided by a condition.

    Args:
        expectation: what is expected.
        specs: every signal.
        ends_s: when it is decided at the latest; inf = at the end of the run.
    """

    def __init__(self, expectation: ConditionExpectation, specs: Specs, ends_s: float) -> None:
        super().__init__(expectation, specs, ends_s)
        self.condition = expectation.condition
        """What it looks at."""
        self.timed = timed_in(self.condition, specs)
        self._truth = truth_of(self.condition, specs)

    def _blame(self, sample: Sample, *, wanted: bool = True) -> Verdict:
        signals = blamed(self.condition, self._specs, sample, wanted=wanted)
        return Verdict(False, actual_words(signals, self._specs, sample), signals)


class NowMonitor(ConditionMonitor):
    """Decided by its first sample."""

    slack_s = 0.0

    def look(self, sample: Sample) -> Verdict | None:
        """Decide."""
        return HELD if self._truth(sample) else self._blame(sample)


class WithinMonitor(ConditionMonitor):
    """Waits for its condition."""

    slack_s = EPSILON_S

    def look(self, sample: Sample) -> Verdict | None:
        """Held as soon as the condition is true."""
        return HELD if self._truth(sample) else None

    def expire(self, sample: Sample) -> Verdict:
        """It did not come true."""
        return self._blame(sample)


class AlwaysMonitor(ConditionMonitor):
    """Throughout and never: fails at the first sample that is not as it should be.

    Throughout fails while its condition is unknown; never is then undecided, unless it fails later.
    """

    def __init__(self, expectation: ConditionExpectation, specs: Specs, ends_s: float) -> None:
        super().__init__(expectation, specs, ends_s)
        self._wanted = isinstance(expectation, ExpectThroughout)
        self._has_looked = False
        self._unknown: tuple[str, ...] = ()

    def looks_at(self, time_s: float) -> bool:
        """A sample after the interval counts only if it is the first."""
        return self.looks_from_s <= time_s and (time_s <= self.deadline_s or not self._has_looked)

    def look(self, sample: Sample) -> Verdict | None:
        """Failed as soon as the condition is not as wanted."""
        self._has_looked = True
        truth, wanted = self._truth(sample), self._wanted
        if truth is None and not wanted:
            self._unknown = self._unknown or unknown_in(self.condition, self._specs, sample)
        elif truth is not wanted:
            return self._blame(sample, wanted=wanted)
        return None

    def expire(self, sample: Sample) -> Verdict:
        """Held, unless its condition was unknown."""
        return Verdict(None, signals=self._unknown) if self._unknown else HELD
