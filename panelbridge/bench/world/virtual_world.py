"""Virtual time: a scenario goes from event to event, and nothing sleeps.

At each instant: limits that have passed; what is due in the cockpit; the new sample and events,
looked at by every open expectation. Every limit is an instant of its own, so is the end of the run.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.bench.language.expectations import Expectation
from panelbridge.bench.language.plan import Action, ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.make_monitor import monitor_of
from panelbridge.bench.verdict.trace import Sample, ScenarioResult, Trace
from panelbridge.bench.world.cockpit import BenchCockpit
from panelbridge.bench.world.runner import ScenarioWorld
from panelbridge.logic.kit.chart import watch_charts
from panelbridge.logic.kit.condition_times import Timed, timed_in, turn_s
from panelbridge.logic.kit.conditions import Condition


def run_scenario(plan: ScenarioPlan) -> ScenarioResult:
    """Run a scenario in virtual time."""
    trace = Trace()

    def watch(_: str, before: str, after: str) -> None:
        trace.visited_states.update((before, after))
        trace.taken_transitions.add(f"{before} -> {after}")

    with watch_charts(watch):
        return VirtualWorld(plan, trace).run()


class VirtualWorld(ScenarioWorld):
    """The world of a scenario in virtual time: from due time to due time."""

    def __init__(self, plan: ScenarioPlan, trace: Trace) -> None:
        specs = signals_of(plan.aircraft, plan.panel)
        self._cockpit = cockpit = BenchCockpit(plan)
        trace.begun = cockpit.logic.save()
        own_legs = plan.aircraft.authority.legs != "feed"
        self._laws = LawWatch(cockpit.latest, plan.aircraft.strut_names, own_legs=own_legs)
        super().__init__(plan, specs, Judge(specs, cockpit.latest, cockpit.reasons, trace))
        self._now_s = 0.0
        self._timed: tuple[Timed, ...] = ()
        first = plan.steps[0].when if plan.steps else None
        self.await_condition(getattr(first, "condition", None))

    @property
    def time_s(self) -> float:
        """The scenario's time: that of the last instant."""
        return self._now_s

    def begin(self) -> bool:
        """Take the first sample."""
        self._take(self._cockpit.latest)
        return True

    # -- time -----------------------------------------------------------------------------------

    def turn(self, until_s: float) -> None:
        """Let time pass to the next instant, at most to ``until_s``."""
        self._reach(min(self._next_s(), until_s))

    def is_over(self, end_s: float) -> bool:
        """Nothing is due before ``end_s``, or at it."""
        return self._next_s() > end_s

    def look_closely(self, now_s: float) -> None:
        """Reach an instant, and look at what changes by itself there."""
        self._reach(now_s, fresh=True)

    def _reach(self, now_s: float, *, fresh: bool = False) -> None:
        self.judge.pass_time(now_s)
        self._now_s = now_s
        for action in self._mending.take(now_s):
            self._cockpit.do(now_s, action)
        self._cockpit.advance(now_s)
        self._look(fresh=fresh or bool(self._drifting))

    def _next_s(self) -> float:
        """When something is due: in the cockpit, a limit, a number that turns a condition."""
        due_s = min(self._cockpit.next_due_s, self._mending.next_due_s)
        now_s, latest = self._now_s, self._cockpit.latest
        ends = [monitor.ends_s for monitor in self.judge.monitors]
        turns = [latest.when(turn_s(latest, *one)) for one in self._drifting]
        return min([due_s, *(time_s for time_s in (*ends, *turns) if time_s > now_s)])

    # -- what is looked at ----------------------------------------------------------------------

    def await_condition(self, condition: Condition | None) -> None:
        """What the next step waits for."""
        if condition is self._awaited:
            return
        super().await_condition(condition)
        self._timed = () if condition is None else timed_in(condition, self._specs)

    @property
    def _drifting(self) -> list[Timed]:
        """Comparisons that are watched or waited for, of numbers that change by themselves now."""
        watched = [one for monitor in self.judge.monitors for one in monitor.timed]
        latest = self._cockpit.latest
        return [one for one in (*watched, *self._timed) if one.drifts(latest)]

    # -- steps ----------------------------------------------------------------------------------

    def do(self, action: Action) -> bool:
        """Do an action now."""
        self._cockpit.do(self._now_s, action)
        return True

    def expect(self, expectations: Sequence[Expectation]) -> None:
        """Begin to watch; what the actions set off belongs to these expectations too."""
        judge = self.judge
        monitors = [monitor_of(one, self._specs, self._now_s) for one in expectations]
        self._cockpit.step(self._now_s)
        judge.monitors = [*judge.monitors, *monitors]
        if not self._look(fresh=bool(self._drifting)):
            judge.look_again(monitors)

    def _look(self, *, fresh: bool) -> bool:
        """Take what is new; True when there was a new sample."""
        for event in self._cockpit.take_events():
            self.judge.hear(event)
        sample = self._cockpit.sample(self._now_s, fresh=fresh)
        if sample is None:
            return False
        self._take(sample)
        return True

    def _take(self, sample: Sample) -> None:
        for expected, actual in self._laws.look(sample):
            self.judge.fail(self.judge.spot, expected, actual)
        self.judge.look(sample)
