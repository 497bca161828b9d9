"""Judges a run: takes what is seen, compares it with what is expected, keeps the results.

For virtual time and boards alike. The world passes every event, every new sample and the time to
the judge; what a limit decides is decided at the limit's own time.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from math import inf

from panelbridge.bench.language.expectations import EventPattern, Spot
from panelbridge.bench.language.plan import ScenarioPlan, Step
from panelbridge.bench.verdict.causes import cause_of
from panelbridge.bench.verdict.failure import Cause, Failure
from panelbridge.bench.verdict.monitors import EPSILON_S, Monitor, Verdict
from panelbridge.bench.verdict.run_words import event_line, expected_words, step_words
from panelbridge.bench.verdict.trace import Mark, Sample, ScenarioResult, Trace, Undecided
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Event, Reason

LAST_EVENTS = 8
"""A failure shows this many."""

Explain = Callable[[str], tuple[Reason, ...]]
"""Why a lamp (by its name in the logic), the horn or a value is as it was in the last sample."""


class Judge:
    """Everything that was seen and decided in a run.

    Args:
        specs: every signal.
        sample: the panel before anything was seen.
        explain: gives the reasons behind lamps, horn and values.
        trace: takes the record.
    """

    def __init__(
        self, specs: Mapping[str, Signal], sample: Sample, explain: Explain, trace: Trace
    ) -> None:
        self.sample = sample
        """The last one."""
        self.time_s = 0.0
        """How far time has come."""
        self.spot = Spot("", 1, 1)
        """Where the step stands that began last."""
        self.trace = trace
        """The record."""
        self.monitors: list[Monitor] = []
        """What is not decided yet."""
        self._specs = specs
        self._explain = explain
        self._failures: list[Failure] = []
        self._undecided: list[Undecided] = []
        self._recent: deque[Event] = deque(maxlen=LAST_EVENTS)
        self._waits_from = 0
        """Events from this one on are new to a step that waits for one."""
        self._begun_by_event = False
        self._begun: list[tuple[float, Step]] = []

    # -- what is seen ---------------------------------------------------------------------------

    def pass_time(self, now_s: float) -> None:
        """Time goes on to ``now_s``; limits before it have passed, each at its own time."""
        late = [monitor for monitor in self.monitors if monitor.deadline_s < now_s]
        if late:
            for monitor in sorted(late, key=lambda monitor: monitor.ends_s):
                self.time_s = min(monitor.ends_s, now_s)
                self._decide([(monitor, monitor.expire(self.sample))])
        self.time_s = now_s

    def hear(self, event: Event) -> None:
        """Take an event."""
        self._recent.append(event)
        self.trace.events.append(event)
        self._decide([(monitor, monitor.hear(event)) for monitor in self.monitors])

    def look(self, sample: Sample) -> None:
        """Take a new sample."""
        self.sample = sample
        self.trace.samples.append(sample)
        self.look_again(self.monitors)

    def look_again(self, monitors: Iterable[Monitor]) -> None:
        """Show the last sample to monitors that have not seen it."""
        sample = self.sample
        verdicts = [(m, m.look(sample)) for m in monitors if m.looks_at(sample.time_s)]
        if verdicts:
            self._decide(verdicts)

    def forget(self) -> None:
        """Drop what came before the scenario."""
        self.trace = Trace()
        self._recent.clear()
        self._waits_from = 0

    def has_come(self, pattern: EventPattern) -> bool:
        """Whether an event came that is new to the step that waits for it; then it is not any more.

        Events are new from the actions of the step before on, or after the event that began it.
        """
        events = self.trace.events
        while self._waits_from < len(events):
            self._waits_from += 1
            if pattern.fits(events[self._waits_from - 1]):
                self._begun_by_event = True
                return True
        return False

    def too_early(self, pattern: EventPattern, counted: Iterable[Event] = ()) -> str:
        """When an event that is missed came too early, in words; empty when it never came."""
        taken = {id(event) for event in counted}
        early = [e for e in self.trace.events if pattern.fits(e) and id(e) not in taken]
        return f": it came too early, at {early[-1].time_s:.3f} s" if early else ""

    # -- what is expected -----------------------------------------------------------------------

    def begin_step(self, step: Step) -> None:
        """A step begins now."""
        self.spot = step.spot
        self._begun.append((self.time_s, step))
        if not self._begun_by_event:
            self._waits_from = len(self.trace.events)
        self._begun_by_event = False
        self.trace.marks.append(Mark(self.time_s, step_words(step), step.spot))

    @property
    def last_limit_s(self) -> float:
        """When the last limit passes that is open; 0 without one."""
        return max([one.ends_s for one in self.monitors if one.ends_s < inf], default=0.0)

    def fail(self, spot: Spot, expected: str, actual: str, signals: Iterable[str] = ()) -> None:
        """Note a failure, because of ``signals``."""
        lines = tuple(map(event_line, self._recent))
        about = [self._specs[name] for name in signals if name in self._specs]
        outputs = dict.fromkeys(one.output for one in about if one.output)
        reasons = {name: self._explain(name) for name in outputs}
        values = [one for one in about if not one.output]
        causes = {one.name: self._cause(one) for one in values} if self.trace.samples else {}
        failure = Failure(spot, self.time_s, expected, actual, lines, reasons, causes)
        self._failures.append(failure)
        self.trace.marks.append(Mark(self.time_s, expected, spot, failed=True))

    def finish(self, plan: ScenarioPlan) -> ScenarioResult:
        """The run is over: what runs to the end is decided."""
        self._decide([(monitor, monitor.expire(self.sample)) for monitor in self.monitors])
        return self._result(plan)

    def break_off(self, plan: ScenarioPlan, rest: Iterable[Step]) -> ScenarioResult:
        """The run has ended early: but for limits that are reached, what is open stays open.

        Args:
            plan: the scenario.
            rest: its steps that have not begun.
        """
        now_s = self.time_s
        reached = [monitor for monitor in self.monitors if monitor.ends_s <= now_s + EPSILON_S]
        self._decide([(monitor, monitor.expire(self.sample)) for monitor in reached])
        self._undecided += [Undecided(one.spot, one.expected) for one in self.monitors]
        self._undecided += [
            Undecided(expectation.spot, expected_words(expectation, self._specs))
            for step in rest
            for expectation in step.expectations
        ]
        return self._result(plan)

    def _cause(self, signal: Signal) -> Cause:
        reasons = self._explain(signal.name)
        return cause_of(signal, self._specs, self.trace, reasons, self._begun)

    # -- inside ---------------------------------------------------------------------------------

    def _result(self, plan: ScenarioPlan) -> ScenarioResult:
        trace = self.trace
        trace.end_s = self.time_s
        trace.marks.sort(key=lambda mark: mark.time_s)
        return ScenarioResult(plan, tuple(self._failures), trace, tuple(self._undecided))

    def _decide(self, verdicts: Iterable[tuple[Monitor, Verdict | None]]) -> None:
        decided: set[int] = set()
        for monitor, verdict in verdicts:
            if verdict is None:
                continue
            decided.add(id(monitor))
            if verdict.held:
                mark = Mark(self.time_s, monitor.expected, monitor.spot, passed=True)
                self.trace.marks.append(mark)
            elif verdict.held is None:
                open_one = Undecided(monitor.spot, monitor.expected, verdict.signals)
                self._undecided.append(open_one)
            else:
                actual = verdict.actual
                if verdict.missing is not None:
                    actual += self.too_early(verdict.missing, verdict.counted)
                self.fail(monitor.spot, monitor.expected, actual, verdict.signals)
        if decided:
            self.monitors = [one for one in self.monitors if id(one) not in decided]
