"""Runs one scenario in virtual time: from event to event, nothing sleeps.

At each instant: what is due in the world; the new sample and happenings, looked at by every open
expectation; limits that have passed; then the steps that can begin, each with its actions, its
sample and its expectations.
"""

from __future__ import annotations

from collections import deque
from math import inf

from panelbridge.bench.condition_check import Check, check_of, signals_in
from panelbridge.bench.laws import LawWatch
from panelbridge.bench.monitors import EPSILON_S, Monitor, Verdict, monitor_of
from panelbridge.bench.plan import (
    Expectation,
    Failure,
    ScenarioPlan,
    Spot,
    Step,
    WaitFor,
)
from panelbridge.bench.run_words import actual_words, condition_words, happening_line, step_words
from panelbridge.bench.signals_by_name import signals_of
from panelbridge.bench.trace import Mark, Sample, ScenarioResult, Trace
from panelbridge.bench.world import BenchWorld
from panelbridge.logic.chart import watch_charts
from panelbridge.signals import Happening, Reason

LAST_HAPPENINGS = 8
"""A failure tells so many."""
TRAVEL_LOOK_S = 0.1
"""A leg's travel is looked at so often while an expectation asks for it, s."""
_TRAVEL = "_travel"


def run_scenario(plan: ScenarioPlan) -> ScenarioResult:
    """Run a scenario to its end, and tell how it went."""
    trace = Trace()

    def watch(chart: str, before: str, after: str) -> None:
        trace.visited_states.add(after)
        if before:
            trace.taken_transitions.add(f"{before} -> {after}")

    with watch_charts(watch):
        return _Run(plan, trace).run()


class _Run:
    """One run.

    Args:
        plan: the scenario.
        trace: takes the record.
    """

    def __init__(self, plan: ScenarioPlan, trace: Trace) -> None:
        self._plan = plan
        self._trace = trace
        self._specs = signals_of(plan.aircraft, plan.panel)
        self._world = BenchWorld(plan)
        own_legs = plan.aircraft.authority.legs != "feed"
        self._laws = LawWatch(self._world.latest, own_legs=own_legs)
        self._monitors: list[Monitor] = []
        self._failures: list[Failure] = []
        self._recent: deque[Happening] = deque(maxlen=LAST_HAPPENINGS)
        self._steps = deque(plan.steps)
        self._now_s = 0.0
        self._step_began_s = 0.0
        self._spot = plan.steps[0].spot if plan.steps else Spot(str(plan.path), 1, 1)
        self._waiting: Check | None = None
        self._end_s = plan.runs_for_s or 0.0
        self._ended_early = False

    def run(self) -> ScenarioResult:
        """From the first instant to the last."""
        self._take(self._world.latest)
        self._begin_steps()
        while (due_s := self._next_s()) <= self._last_s():
            self._expire(due_s)
            self._now_s = due_s
            self._world.advance(due_s)
            self._look(fresh=self._travel_wanted)
            self._begin_steps()
            if self._ended_early:
                break
        if not self._ended_early:
            self._now_s = max(self._now_s, self._last_s())
            if self._world.legs_move:
                self._look(fresh=True)
        self._judge([(monitor, monitor.expire(self._world.latest)) for monitor in self._monitors])
        self._trace.end_s = self._now_s
        self._trace.marks.sort(key=lambda mark: mark.time_s)
        return ScenarioResult(self._plan, tuple(self._failures), self._trace)

    # -- time -----------------------------------------------------------------------------------

    def _next_s(self) -> float:
        """When something is due next."""
        due_s = self._world.next_due_s
        if self._steps:
            due_s = min(due_s, self._step_due_s(self._steps[0]))
        for monitor in self._monitors:
            if monitor.ends_s > self._now_s:
                due_s = min(due_s, monitor.ends_s)
        if self._travel_wanted:
            due_s = min(due_s, self._now_s + TRAVEL_LOOK_S)
        return due_s

    def _last_s(self) -> float:
        """When the run is over, as far as it is known now."""
        end_s = self._end_s
        if self._steps:
            end_s = max(end_s, self._step_due_s(self._steps[0]))
        for monitor in self._monitors:
            if monitor.ends_s < inf:
                end_s = max(end_s, monitor.ends_s)
        return end_s

    def _step_due_s(self, step: Step) -> float:
        """When the step begins; of one that waits, when it gives up."""
        when = step.when
        if isinstance(when, WaitFor):
            return self._step_began_s + when.limit_s
        at_s = getattr(when, "time_s", None)
        if at_s is not None:
            return max(float(at_s), self._now_s)
        return self._step_began_s + float(getattr(when, "wait_s", 0.0))

    @property
    def _travel_wanted(self) -> bool:
        """A leg is on its way, and somebody asks where."""
        if not self._world.legs_move:
            return False
        names = {name for monitor in self._monitors for name in monitor.signals}
        if self._steps and isinstance(when := self._steps[0].when, WaitFor):
            names |= signals_in(when.condition)
        return any(name.endswith(_TRAVEL) for name in names)

    # -- steps ----------------------------------------------------------------------------------

    def _begin_steps(self) -> None:
        while self._steps and not self._ended_early and self._can_begin(self._steps[0]):
            self._waiting = None
            self._begin(self._steps.popleft())

    def _can_begin(self, step: Step) -> bool:
        when = step.when
        late = self._now_s >= self._step_due_s(step) - EPSILON_S
        if not isinstance(when, WaitFor):
            return late
        if self._waiting is None:
            self._waiting = check_of(when.condition, self._specs)
        if self._waiting(self._world.latest):
            return True
        if late:
            self._give_up(step, when)
        return False

    def _give_up(self, step: Step, when: WaitFor) -> None:
        """The condition that a step waits for has not come: nothing after it makes sense."""
        self._ended_early = True
        names = signals_in(when.condition)
        self._fail(
            step.spot,
            f"{condition_words(when.condition, self._specs)}, within {when.limit_s:g} s",
            actual_words(sorted(names), self._specs, self._world.latest),
            tuple(sorted(names)),
        )

    def _begin(self, step: Step) -> None:
        self._step_began_s = self._now_s
        self._spot = step.spot
        self._end_s = max(self._end_s, self._now_s)
        self._trace.marks.append(Mark(self._now_s, step_words(step), step.spot))
        for action in step.actions:
            self._world.do(self._now_s, action)
        monitors = [self._monitor(expectation) for expectation in step.expectations]
        self._world.step(self._now_s)
        # What this step sets off belongs to its own expectations too.
        self._monitors.extend(monitors)
        if not self._look(fresh=self._travel_wanted):
            self._judge([(monitor, monitor.look(self._world.latest)) for monitor in monitors])

    def _monitor(self, expectation: Expectation) -> Monitor:
        return monitor_of(expectation, self._specs, self._now_s)

    # -- looking --------------------------------------------------------------------------------

    def _look(self, *, fresh: bool) -> bool:
        """Take what is new; True when there was a new sample."""
        for happening in self._world.take_happenings():
            self._recent.append(happening)
            self._trace.happenings.append(happening)
            self._judge([(monitor, monitor.hear(happening)) for monitor in self._monitors])
        sample = self._world.sample(self._now_s, fresh=fresh)
        if sample is None:
            return False
        self._take(sample)
        self._judge([(monitor, monitor.look(sample)) for monitor in self._monitors])
        return True

    def _take(self, sample: Sample) -> None:
        self._trace.samples.append(sample)
        for expected, actual in self._laws.look(sample):
            self._fail(self._spot, expected, actual, ())

    def _expire(self, now_s: float) -> None:
        """Decide what has come to its limit before ``now_s``."""
        late = [monitor for monitor in self._monitors if monitor.deadline_s < now_s]
        self._judge([(monitor, monitor.expire(self._world.latest)) for monitor in late])

    def _judge(self, verdicts: list[tuple[Monitor, Verdict | None]]) -> None:
        decided = set()
        for monitor, verdict in verdicts:
            if verdict is None:
                continue
            decided.add(id(monitor))
            if verdict.held:
                mark = Mark(self._now_s, monitor.expected, monitor.spot, passed=True)
                self._trace.marks.append(mark)
            else:
                self._fail(monitor.spot, monitor.expected, verdict.actual, verdict.signals)
        if decided:
            self._monitors = [one for one in self._monitors if id(one) not in decided]

    def _fail(self, spot: Spot, expected: str, actual: str, signals: tuple[str, ...]) -> None:
        self._failures.append(
            Failure(
                spot,
                self._now_s,
                expected,
                actual,
                tuple(happening_line(happening) for happening in self._recent),
                self._reasons(signals),
            )
        )
        self._trace.marks.append(Mark(self._now_s, expected, spot, failed=True))

    def _reasons(self, signals: tuple[str, ...]) -> dict[str, tuple[Reason, ...]]:
        """Why each lamp, and the horn, among the signals is as it is."""
        lamps = self._world.latest.outputs.lamps
        reasons = {}
        for signal in signals:
            name = signal.removesuffix("_brightness").removesuffix("_sounding")
            if name == "horn" or name in lamps:
                reasons[name] = self._world.reasons(name)
        return reasons
