"""Watches a scenario on boards: samples, happenings, what is expected, what failed."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from math import inf

from panelbridge.bench.board_grace import looks_from_s, with_grace
from panelbridge.bench.condition_check import signals_in
from panelbridge.bench.monitors import Monitor, Verdict, monitor_of
from panelbridge.bench.plan import (
    Expectation,
    ExpectNow,
    Failure,
    ScenarioPlan,
    Spot,
    Step,
    WaitFor,
)
from panelbridge.bench.run_words import (
    actual_words,
    condition_words,
    expected_words,
    happening_line,
    step_words,
)
from panelbridge.bench.signals_by_name import SignalSpec
from panelbridge.bench.trace import Mark, Sample, ScenarioResult, Trace
from panelbridge.signals import Happening

LAST_HAPPENINGS = 8
"""A failure tells so many."""


class BoardWatch:
    """Everything that was seen in a run.

    Args:
        specs: every signal.
        sample: the panel before anything was seen.
    """

    def __init__(self, specs: Mapping[str, SignalSpec], sample: Sample) -> None:
        self.sample = sample
        """The last one."""
        self._specs = specs
        self._monitors: list[tuple[Monitor, float]] = []
        self._of_now: list[Monitor] = []
        self._failures: list[Failure] = []
        self._trace = Trace()
        self._recent: deque[Happening] = deque(maxlen=LAST_HAPPENINGS)
        self._of_step: list[Happening] = []
        self._time_s = 0.0

    # -- what is seen ---------------------------------------------------------------------------

    def hear(self, happening: Happening) -> None:
        """Something has happened."""
        self._recent.append(happening)
        self._of_step.append(happening)
        self._trace.happenings.append(happening)
        self._judge([(monitor, monitor.hear(happening)) for monitor, _ in self._monitors])

    def look(self, sample: Sample) -> None:
        """There is a new sample."""
        self.sample = sample
        self._trace.samples.append(sample)
        seeing = [monitor for monitor, from_s in self._monitors if sample.time_s >= from_s]
        self._judge([(monitor, monitor.look(sample)) for monitor in seeing])

    def pass_time(self, time_s: float) -> None:
        """Time has come this far: limits may have passed."""
        self._time_s = self._trace.end_s = time_s
        late = [monitor for monitor, _ in self._monitors if time_s > monitor.deadline_s]
        self._judge([(monitor, monitor.expire(self.sample)) for monitor in late])

    def forget(self) -> None:
        """What was seen so far came before the scenario."""
        self._trace = Trace()
        self._recent.clear()

    # -- what is expected -----------------------------------------------------------------------

    def begin_step(self, step: Step) -> None:
        """What happens from now on belongs to ``step``."""
        self._of_step.clear()
        self._of_now.clear()
        self._trace.marks.append(Mark(self._time_s, step_words(step), step.spot))

    def expect(self, expectation: Expectation, now_s: float) -> None:
        """Begin to watch for something, from the next sample on."""
        monitor = monitor_of(with_grace(expectation), self._specs, now_s)
        monitor.expected = expected_words(expectation, self._specs)
        self._monitors.append((monitor, looks_from_s(expectation, now_s)))
        if isinstance(expectation, ExpectNow):
            self._of_now.append(monitor)
        # A person's hand may have been waited for: what it set off belongs to this step.
        for happening in self._of_step:
            verdict = monitor.hear(happening)
            if verdict is not None:
                self._judge([(monitor, verdict)])
                return

    @property
    def now_is_open(self) -> bool:
        """Something is expected now, and not decided yet."""
        return any(monitor in self._of_now for monitor, _ in self._monitors)

    @property
    def last_limit_s(self) -> float:
        """When the last limit passes that is open; 0 without one."""
        limits_s = [monitor.ends_s for monitor, _ in self._monitors if monitor.ends_s < inf]
        return max(limits_s, default=0.0)

    def fail_wait(self, when: WaitFor, spot: Spot) -> None:
        """A condition that a step waited for did not come."""
        words = f"{condition_words(when.condition, self._specs)}, within {when.limit_s:g} s"
        self.fail(spot, words, actual_words(signals_in(when.condition), self._specs, self.sample))

    def fail_move(self, switch: str, words: str, spot: Spot) -> None:
        """A switch did not come where it was asked to be."""
        self.fail(spot, words, actual_words([switch], self._specs, self.sample))

    def fail(self, spot: Spot, expected: str, actual: str) -> None:
        """Something was not as expected."""
        lines = tuple(map(happening_line, self._recent))
        self._failures.append(Failure(spot, self._time_s, expected, actual, lines))
        self._trace.marks.append(Mark(self._time_s, expected, spot, failed=True))

    def finish(self, plan: ScenarioPlan) -> ScenarioResult:
        """The run is over: what is open still is decided."""
        self._judge([(monitor, monitor.expire(self.sample)) for monitor, _ in self._monitors])
        self._failures.sort(key=lambda failure: failure.time_s)
        return ScenarioResult(plan, tuple(self._failures), self._trace)

    def _judge(self, verdicts: list[tuple[Monitor, Verdict | None]]) -> None:
        decided: set[int] = set()
        for monitor, verdict in verdicts:
            if verdict is None:
                continue
            decided.add(id(monitor))
            if verdict.held:
                mark = Mark(self._time_s, monitor.expected, monitor.spot, passed=True)
                self._trace.marks.append(mark)
            else:
                self.fail(monitor.spot, monitor.expected, verdict.actual)
        if decided:
            self._monitors = [pair for pair in self._monitors if id(pair[0]) not in decided]
