"""The step loop of a scenario: when each step begins, what it does, and when the run is over."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from math import inf

from panelbridge.bench.language.expectations import Expectation, Spot
from panelbridge.bench.language.plan import (
    Action,
    After,
    At,
    ClearFault,
    FaultKind,
    ScenarioPlan,
    SetFault,
    Step,
    WaitFor,
    WaitForEvent,
    When,
)
from panelbridge.bench.verdict.condition_signals import signals_in
from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.monitors import EPSILON_S
from panelbridge.bench.verdict.run_words import actual_words, begin_words, pattern_words, wait_words
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.kit.conditions import Condition, Truth, truth_of
from panelbridge.logic.kit.declarations import Signal


class Mending:
    """The faults for a time of a scenario that runs."""

    def __init__(self) -> None:
        self._due_s: dict[tuple[str, FaultKind], float] = {}
        self.next_due_s = inf
        """When the next one mends itself, s."""

    def note(self, now_s: float, action: Action) -> None:
        """See an action that is done now. A fault that is set again lasts as it says then."""
        if isinstance(action, SetFault):
            self._due_s[action.target, action.kind] = now_s + action.lasts_s
        elif isinstance(action, ClearFault):
            for target, kind in [*self._due_s]:
                if action.mends(target, kind):
                    del self._due_s[target, kind]
        self.next_due_s = min(self._due_s.values(), default=inf)

    def take(self, now_s: float) -> Iterator[ClearFault]:
        """What mends itself by ``now_s``."""
        if now_s < self.next_due_s:
            return
        for (target, kind), due_s in [*self._due_s.items()]:
            if due_s <= now_s:
                clear = ClearFault(target, kind)
                self.note(now_s, clear)
                yield clear


class ScenarioWorld(ABC):
    """Runs one scenario; a subclass says where: in virtual time or on boards.

    Args:
        plan: the scenario.
        specs: every signal.
        judge: sees and judges the run.
    """

    grace_s = 0.0
    """How much later than due something may come, s."""

    def __init__(self, plan: ScenarioPlan, specs: Mapping[str, Signal], judge: Judge) -> None:
        self.judge = judge
        judge.spot = plan.first_spot
        self._plan = plan
        self._specs = specs
        self._began_s = 0.0
        self._mending = Mending()
        self._awaited: Condition | None = None
        self._truth: Truth | None = None

    @property
    @abstractmethod
    def time_s(self) -> float:
        """The scenario's time."""

    @abstractmethod
    def begin(self) -> bool:
        """Bring about the start; False when that failed, which the judge knows."""

    @abstractmethod
    def turn(self, until_s: float) -> None:
        """Let time pass to the next instant at which something may change, at most ``until_s``."""

    @abstractmethod
    def is_over(self, end_s: float) -> bool:
        """Nothing is left to do before ``end_s``, or at it."""

    @abstractmethod
    def look_closely(self, now_s: float) -> None:
        """Reach an instant, and take a sample in which what changes by itself is up to date."""

    @abstractmethod
    def do(self, action: Action) -> bool:
        """Do an action; False when that failed, which the judge knows."""

    @abstractmethod
    def expect(self, expectations: Sequence[Expectation]) -> None:
        """After the actions of a step: begin to watch for what it expects."""

    def await_condition(self, condition: Condition | None) -> None:
        """What the next step waits for; None when it waits for a time."""
        if condition is not self._awaited:
            self._awaited = condition
            self._truth = None if condition is None else truth_of(condition, self._specs)

    @property
    def condition_holds(self) -> bool:
        """What the next step waits for is true of the last sample."""
        return self._truth is not None and self._truth(self.judge.sample) is True

    def run(self) -> ScenarioResult:
        """Run it to its end."""
        plan = self._plan
        if not self.begin():
            return self.judge.break_off(plan, plan.steps)
        for number, step in enumerate(plan.steps):
            if not self._await(step) or not self._do(step, plan.steps[number + 1 :]):
                return self.judge.break_off(plan, plan.steps[number:])
        while not self.is_over(self._end_s):
            self.turn(self._end_s)
        self.look_closely(self._end_s)
        return self.judge.finish(plan)

    @property
    def _end_s(self) -> float:
        """When the run is over, as far as that is known now."""
        # On boards the last step's expectations need twice the grace.
        last_s = max(self._began_s + 2 * self.grace_s, self.judge.last_limit_s)
        return max(last_s, self._plan.runs_for_s or 0.0, self.time_s)

    def _await(self, step: Step) -> bool:
        """Wait until a step begins; False when what it waits for does not come."""
        if isinstance(step.when, WaitFor | WaitForEvent):
            return self._await_it(step.when, step.spot)
        due_s = self._due_s(step.when, step.spot)
        while self.time_s < due_s - EPSILON_S:
            self.turn(due_s)
        self._began_s = due_s  # not the time of the turn: lateness does not add up
        return True

    def _due_s(self, when: At | After, spot: Spot) -> float:
        if isinstance(when, After):
            return self._began_s + when.wait_s
        if when.time_s < self._began_s - max(self.grace_s, EPSILON_S):
            self.judge.fail(spot, *begin_words(when, self._began_s))
        return max(when.time_s, self._began_s)

    def _await_it(self, when: WaitFor | WaitForEvent, spot: Spot) -> bool:
        """Wait for a condition or an event; False when its limit is over first."""
        limit_s = self.time_s + when.limit_s + self.grace_s
        self.await_condition(_condition_of(when))
        while not self._is_there(when):
            if self.time_s >= limit_s - EPSILON_S:
                self.look_closely(self.time_s)
                self.judge.fail(spot, wait_words(when, self._specs), *self._instead(when))
                return False
            self.turn(limit_s)
        self._began_s = self.time_s
        return True

    def _is_there(self, when: WaitFor | WaitForEvent) -> bool:
        if isinstance(when, WaitForEvent):
            return self.judge.has_come(when.event)
        return self.condition_holds

    def _instead(self, when: WaitFor | WaitForEvent) -> tuple[str, Sequence[str]]:
        """What there was instead of what is waited for, and the signals that it is about."""
        if isinstance(when, WaitForEvent):
            return f"no {pattern_words(when.event)}{self.judge.too_early(when.event)}", ()
        names = sorted(signals_in(when.condition))
        return actual_words(names, self._specs, self.judge.sample), names

    def _do(self, step: Step, rest: Sequence[Step]) -> bool:
        """Begin a step; False when one of its actions fails."""
        self.await_condition(_condition_of(rest[0].when if rest else None))
        self.judge.begin_step(step)
        done = all(self._act(action) for action in step.actions)
        if done:
            self.expect(step.expectations)
        return done

    def _act(self, action: Action) -> bool:
        self._mending.note(self.time_s, action)
        return self.do(action)


def _condition_of(when: When | None) -> Condition | None:
    return when.condition if isinstance(when, WaitFor) else None
