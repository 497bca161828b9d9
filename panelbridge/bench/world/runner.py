"""Runs one scenario in virtual time: from event to event, nothing sleeps.

At each instant: limits that have passed; what is due in the world; the new sample and events,
looked at by every open expectation; then the steps that can begin, each with its actions, its
sample and its expectations. Every limit is an instant of its own, so is the end of the run.
"""

from __future__ import annotations

from collections import deque
from math import inf

from panelbridge.bench.language.plan import At, ScenarioPlan, Step, WaitFor
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.condition_signals import signals_in
from panelbridge.bench.verdict.crossings import Crossings
from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.monitors import EPSILON_S, monitor_of
from panelbridge.bench.verdict.run_words import begin_words
from panelbridge.bench.verdict.trace import Sample, ScenarioResult, Trace
from panelbridge.bench.world.virtual_world import BenchWorld
from panelbridge.logic.chart import watch_charts
from panelbridge.logic.conditions import Condition, Truth, truth_of


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
        self._specs = signals_of(plan.aircraft, plan.panel)
        self._world = world = BenchWorld(plan)
        own_legs = plan.aircraft.authority.legs != "feed"
        self._laws = LawWatch(world.latest, own_legs=own_legs)
        self._crossings = Crossings([leg.name for leg in plan.aircraft.legs] if own_legs else ())
        self._judge = Judge(self._specs, world.latest, world.reasons, trace)
        self._steps = deque(plan.steps)
        self._now_s = 0.0
        self._step_began_s = 0.0
        self._spot = plan.first_spot
        self._waiting: Truth | None = None
        self._end_s = plan.runs_for_s or 0.0
        self._ended_early = False

    def run(self) -> ScenarioResult:
        """From the first instant to the last."""
        self._take(self._world.latest)
        self._begin_steps()
        while not self._ended_early and (due_s := self._next_s()) <= self._last_s():
            self._reach(due_s)
            if self._world.on_ramps and not self._ended_early:
                self._glide()
        if self._ended_early:
            return self._judge.break_off(self._plan, self._steps)
        self._reach(self._last_s(), is_end=True)
        return self._judge.finish(self._plan)

    # -- time -----------------------------------------------------------------------------------

    def _reach(self, now_s: float, *, is_end: bool = False) -> None:
        """Go to an instant; at the end legs on their way are looked at once more."""
        self._judge.pass_time(now_s)
        self._now_s = now_s
        self._world.advance(now_s)
        self._look(fresh=is_end or self._fresh_wanted)
        self._begin_steps()

    def _glide(self) -> None:
        """Let values go along their ramps to the next instant that has more to it."""
        judge, world = self._judge, self._world
        if any(monitor.ends_s <= self._now_s for monitor in judge.monitors):
            return  # it is decided when time goes on from here
        until_s = min(self._next_s(ramps=False), self._last_s())
        waits = self._waiting is not None
        looks = waits or any(self._reads_values(monitor.condition) for monitor in judge.monitors)
        changed_s = world.glide(until_s, self._visit if looks else judge.trace.samples.append)
        judge.sample = world.latest
        judge.time_s = self._now_s = max(self._now_s, world.latest.time_s)
        if changed_s is not None:
            self._reach(changed_s)
        elif waits:
            self._begin_steps()

    def _reads_values(self, condition: Condition | None) -> bool:
        """Whether a condition can turn round while nothing but the aircraft's values changes."""
        names = () if condition is None else signals_in(condition)
        return any(self._specs[name].group == "aircraft" for name in names)

    def _visit(self, sample: Sample) -> bool:
        """Look at new values of ramps; True when that decided something."""
        judge = self._judge
        judge.time_s, monitors = sample.time_s, judge.monitors
        judge.look(sample)
        waiting = self._waiting
        return judge.monitors is not monitors or (waiting is not None and waiting(sample) is True)

    def _next_s(self, *, ramps: bool = True) -> float:
        """When something is due next; without ``ramps`` besides them."""
        now_s = self._now_s
        due_s = self._world.next_due_s if ramps else inf
        if self._steps:
            due_s = min(due_s, self._step_due_s(self._steps[0]))
        for monitor in self._judge.monitors:
            if now_s < monitor.ends_s < due_s:
                due_s = monitor.ends_s
        if limits := self._travel_limits:
            due_s = min(due_s, self._crossings.next_s(limits, now_s))
        return due_s

    def _last_s(self) -> float:
        """When the run is over, as far as it is known now."""
        end_s = max(self._end_s, self._judge.last_limit_s, self._now_s)
        return max(end_s, self._step_due_s(self._steps[0])) if self._steps else end_s

    def _step_due_s(self, step: Step) -> float:
        """When the step begins; of one that waits, when it gives up."""
        when = step.when
        if isinstance(when, At):
            return max(when.time_s, self._now_s)
        wait_s = when.limit_s if isinstance(when, WaitFor) else when.wait_s
        return self._step_began_s + wait_s

    @property
    def _fresh_wanted(self) -> bool:
        """Somebody asks for what changes by itself: legs on their way, pressures."""
        return bool(self._travel_limits) or any(
            self._specs[name].group == "system" and self._specs[name].form == "number"
            for condition in self._conditions
            if condition is not None
            for name in signals_in(condition)
        )

    @property
    def _travel_limits(self) -> set[tuple[str, float]]:
        """Where somebody asks whether a leg on its way has come to; none while no leg is."""
        if not self._world.legs_move:
            return set()
        limits_in = self._crossings.limits_in
        return {limit for condition in self._conditions for limit in limits_in(condition)}

    @property
    def _conditions(self) -> list[Condition | None]:
        """All that is watched or waited for now."""
        conditions = [monitor.condition for monitor in self._judge.monitors]
        if self._steps and isinstance(when := self._steps[0].when, WaitFor):
            conditions.append(when.condition)
        return conditions

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
            self._waiting = truth_of(when.condition, self._specs)
        if self._waiting(self._world.latest):
            return True
        if late:
            self._give_up(step, when)
        return False

    def _give_up(self, step: Step, when: WaitFor) -> None:
        """The condition that a step waits for has not come: nothing after it makes sense."""
        self._ended_early = True
        self._look(fresh=True)  # legs on their way are somewhere now
        self._judge.fail_wait(when, step.spot)

    def _begin(self, step: Step) -> None:
        judge, now_s = self._judge, self._now_s
        if isinstance(step.when, At) and step.when.time_s < now_s - EPSILON_S:
            judge.fail(step.spot, *begin_words(step.when, now_s))
        self._step_began_s = now_s
        self._spot = step.spot
        judge.begin_step(step)
        for action in step.actions:
            self._world.do(now_s, action)
        monitors = [monitor_of(expected, self._specs, now_s) for expected in step.expectations]
        self._world.step(now_s)
        # What this step sets off belongs to its own expectations too.
        judge.monitors = [*judge.monitors, *monitors]
        if not self._look(fresh=self._fresh_wanted):
            judge.look_again(monitors)

    # -- looking --------------------------------------------------------------------------------

    def _look(self, *, fresh: bool) -> bool:
        """Take what is new; True when there was a new sample."""
        for event in self._world.take_events():
            self._judge.hear(event)
        sample = self._world.sample(self._now_s, fresh=fresh)
        if sample is None:
            return False
        self._take(sample)
        return True

    def _take(self, sample: Sample) -> None:
        for expected, actual in self._laws.look(sample):
            self._judge.fail(self._spot, expected, actual)
        self._crossings.see(sample, self._world.logic.updates)
        self._judge.look(sample)
