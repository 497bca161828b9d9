"""Virtual time: a scenario goes from event to event, and nothing sleeps.

At each instant: limits that have passed; what is due in the cockpit; the new sample and events,
looked at by every open expectation. Every limit is an instant of its own, so is the end of the run.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from panelbridge.bench.language.plan import Action, Expectation, ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.condition_signals import signals_in
from panelbridge.bench.verdict.crossings import Crossings
from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.monitors import monitor_of
from panelbridge.bench.verdict.trace import Sample, ScenarioResult, Trace
from panelbridge.bench.world.cockpit import BenchCockpit
from panelbridge.bench.world.runner import Runner
from panelbridge.logic.chart import watch_charts
from panelbridge.logic.conditions import Condition, Truth, truth_of


def run_scenario(plan: ScenarioPlan) -> ScenarioResult:
    """Run a scenario in virtual time."""
    trace = Trace()

    def watch(chart: str, before: str, after: str) -> None:
        trace.visited_states.add(after)
        if before:
            trace.taken_transitions.add(f"{before} -> {after}")

    with watch_charts(watch):
        return Runner(plan, VirtualWorld(plan, trace)).run()


class VirtualWorld:
    """The world of a scenario in virtual time: from due time to due time.

    Args:
        plan: the scenario.
        trace: takes the record.
    """

    grace_s = 0.0

    def __init__(self, plan: ScenarioPlan, trace: Trace) -> None:
        self._specs = signals_of(plan.aircraft, plan.panel)
        self._cockpit = cockpit = BenchCockpit(plan)
        own_legs = plan.aircraft.authority.legs != "feed"
        self._laws = LawWatch(cockpit.latest, own_legs=own_legs)
        self._crossings = Crossings([leg.name for leg in plan.aircraft.legs] if own_legs else ())
        self.judge = Judge(self._specs, cockpit.latest, cockpit.reasons, trace)
        self.time_s = 0.0
        self.judge.spot = plan.first_spot
        self._awaited: Condition | None = None
        self._truth: Truth | None = None
        first = plan.steps[0].when if plan.steps else None
        self.await_condition(getattr(first, "condition", None))

    def begin(self) -> bool:
        """Take the first sample."""
        self._take(self._cockpit.latest)
        return True

    # -- time -----------------------------------------------------------------------------------

    def turn(self, until_s: float) -> None:
        """Let time pass to the next instant, at most to ``until_s``."""
        if not (self._cockpit.on_ramps and self._glide(until_s)):
            self._reach(min(self._next_s(), until_s))

    def is_over(self, end_s: float) -> bool:
        """Nothing is due before ``end_s``, or at it."""
        return self._next_s() > end_s

    def look_closely(self, now_s: float) -> None:
        """Reach an instant, and look at legs on their way and at pressures there."""
        self._reach(now_s, fresh=True)

    def _reach(self, now_s: float, *, fresh: bool = False) -> None:
        self.judge.pass_time(now_s)
        self.time_s = now_s
        self._cockpit.advance(now_s)
        self._look(fresh=fresh or self._fresh_wanted)

    def _glide(self, until_s: float) -> bool:
        """Let values go along their ramps while nothing else changes; False when none did."""
        judge, cockpit, began_s = self.judge, self._cockpit, self.time_s
        if any(monitor.ends_s <= began_s for monitor in judge.monitors):
            return False  # it is decided when time goes on from here
        until_s = min(self._next_s(ramps=False), until_s)
        conditions = self._conditions
        looks = self._truth is not None or any(map(self._reads_values, conditions))
        changed_s = cockpit.glide(until_s, self._visit if looks else judge.trace.samples.append)
        judge.sample = cockpit.latest
        judge.time_s = self.time_s = max(began_s, cockpit.latest.time_s)
        if changed_s is not None:
            self._reach(changed_s)
        return self.time_s > began_s

    def _reads_values(self, condition: Condition) -> bool:
        """Whether a condition can turn round while nothing but the aircraft's values changes."""
        return any(self._specs[name].group == "aircraft" for name in signals_in(condition))

    def _visit(self, sample: Sample) -> bool:
        """Look at new values of ramps; True when that decided something."""
        judge = self.judge
        judge.time_s, monitors = sample.time_s, judge.monitors
        judge.look(sample)
        truth = self._truth
        return judge.monitors is not monitors or (truth is not None and truth(sample) is True)

    def _next_s(self, *, ramps: bool = True) -> float:
        """When something is due next; without ``ramps`` besides them."""
        now_s = self.time_s
        due_s = self._cockpit.next_due_s if ramps else inf
        for monitor in self.judge.monitors:
            if now_s < monitor.ends_s < due_s:
                due_s = monitor.ends_s
        if limits := self._travel_limits:
            due_s = min(due_s, self._crossings.next_s(limits, now_s))
        return due_s

    # -- what is looked at ----------------------------------------------------------------------

    def await_condition(self, condition: Condition | None) -> None:
        """What the next step waits for."""
        if condition is not self._awaited:
            self._awaited = condition
            self._truth = None if condition is None else truth_of(condition, self._specs)

    @property
    def condition_holds(self) -> bool:
        """It is true of the last sample."""
        return self._truth is not None and self._truth(self._cockpit.latest) is True

    @property
    def _fresh_wanted(self) -> bool:
        """A condition reads what changes by itself: legs on their way, pressures."""
        return bool(self._travel_limits) or any(
            self._specs[name].group == "system" and self._specs[name].form == "number"
            for condition in self._conditions
            for name in signals_in(condition)
        )

    @property
    def _travel_limits(self) -> set[tuple[str, float]]:
        """Where conditions ask whether a leg on its way has come to; none while no leg moves."""
        if not self._cockpit.legs_move:
            return set()
        limits_in = self._crossings.limits_in
        return {limit for condition in self._conditions for limit in limits_in(condition)}

    @property
    def _conditions(self) -> list[Condition]:
        """All that is watched or waited for now."""
        watched = [monitor.condition for monitor in self.judge.monitors]
        return [one for one in (*watched, self._awaited) if one is not None]

    # -- steps ----------------------------------------------------------------------------------

    def do(self, action: Action) -> bool:
        """Do an action now."""
        self._cockpit.do(self.time_s, action)
        return True

    def expect(self, expectations: Sequence[Expectation]) -> None:
        """Begin to watch; what the actions set off belongs to these expectations too."""
        judge = self.judge
        monitors = [monitor_of(one, self._specs, self.time_s) for one in expectations]
        self._cockpit.step(self.time_s)
        judge.monitors = [*judge.monitors, *monitors]
        if not self._look(fresh=self._fresh_wanted):
            judge.look_again(monitors)

    def _look(self, *, fresh: bool) -> bool:
        """Take what is new; True when there was a new sample."""
        for event in self._cockpit.take_events():
            self.judge.hear(event)
        sample = self._cockpit.sample(self.time_s, fresh=fresh)
        if sample is None:
            return False
        self._take(sample)
        return True

    def _take(self, sample: Sample) -> None:
        for expected, actual in self._laws.look(sample):
            self.judge.fail(self.judge.spot, expected, actual)
        self._crossings.see(sample, self._cockpit.logic.updates)
        self.judge.look(sample)
