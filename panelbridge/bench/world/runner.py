"""The step loop of a scenario: when each step begins, what it does, and when the run is over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from panelbridge.bench.language.plan import (
    Action,
    After,
    At,
    Expectation,
    ScenarioPlan,
    Spot,
    Step,
    WaitFor,
)
from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.monitors import EPSILON_S
from panelbridge.bench.verdict.run_words import begin_words
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.kit.conditions import Condition


class ScenarioWorld(Protocol):
    """Where a scenario runs: in virtual time or on boards.

    Attributes:
        grace_s: how much later than due something may come, s.
    """

    grace_s: float

    @property
    def judge(self) -> Judge:
        """Sees and judges the run."""
        ...

    @property
    def time_s(self) -> float:
        """The scenario's time."""
        ...

    def begin(self) -> bool:
        """Bring about the start; False when that failed, which the judge knows."""
        ...

    def await_condition(self, condition: Condition | None) -> None:
        """What the next step waits for; None when it waits for a time."""
        ...

    @property
    def condition_holds(self) -> bool:
        """Whether what the next step waits for is true now."""
        ...

    def turn(self, until_s: float) -> None:
        """Let time pass to the next instant at which something may change."""
        ...

    def is_over(self, end_s: float) -> bool:
        """Nothing is left to do before ``end_s``."""
        ...

    def look_closely(self, now_s: float) -> None:
        """Take a sample in which what changes by itself is up to date."""
        ...

    def do(self, action: Action) -> bool:
        """Do an action; False when that failed, which the judge knows."""
        ...

    def expect(self, expectations: Sequence[Expectation]) -> None:
        """After the actions of a step: begin to watch for what it expects."""
        ...


class Runner:
    """Runs one scenario.

    Args:
        plan: the scenario.
        world: where it runs.
    """

    def __init__(self, plan: ScenarioPlan, world: ScenarioWorld) -> None:
        self._plan = plan
        self._world = world
        self._judge = world.judge
        self._began_s = 0.0

    def run(self) -> ScenarioResult:
        """Run it to its end."""
        plan, world = self._plan, self._world
        if not world.begin():
            return self._judge.break_off(plan, plan.steps)
        for number, step in enumerate(plan.steps):
            if not self._await(step) or not self._do(step, plan.steps[number + 1 :]):
                return self._judge.break_off(plan, plan.steps[number:])
        while not world.is_over(self._end_s):
            world.turn(self._end_s)
        world.look_closely(self._end_s)
        return self._judge.finish(plan)

    @property
    def _end_s(self) -> float:
        """When the run is over, as far as that is known now."""
        # On boards the last step's expectations need twice the grace.
        last_s = max(self._began_s + 2 * self._world.grace_s, self._judge.last_limit_s)
        return max(last_s, self._plan.runs_for_s or 0.0, self._world.time_s)

    def _await(self, step: Step) -> bool:
        """Wait until a step begins; False when what it waits for does not come."""
        if isinstance(step.when, WaitFor):
            return self._await_condition(step.when, step.spot)
        due_s = self._due_s(step.when, step.spot)
        while self._world.time_s < due_s - EPSILON_S:
            self._world.turn(due_s)
        self._began_s = due_s  # not the time of the turn: lateness does not add up
        return True

    def _due_s(self, when: At | After, spot: Spot) -> float:
        if isinstance(when, After):
            return self._began_s + when.wait_s
        if when.time_s < self._began_s - max(self._world.grace_s, EPSILON_S):
            self._judge.fail(spot, *begin_words(when, self._began_s))
        return max(when.time_s, self._began_s)

    def _await_condition(self, when: WaitFor, spot: Spot) -> bool:
        world = self._world
        limit_s = world.time_s + when.limit_s + world.grace_s
        world.await_condition(when.condition)
        while not world.condition_holds:
            if world.time_s >= limit_s - EPSILON_S:
                world.look_closely(world.time_s)
                self._judge.fail_wait(when, spot)
                return False
            world.turn(limit_s)
        self._began_s = world.time_s
        return True

    def _do(self, step: Step, rest: Sequence[Step]) -> bool:
        """Begin a step; False when one of its actions fails."""
        when = rest[0].when if rest else None
        self._world.await_condition(when.condition if isinstance(when, WaitFor) else None)
        self._judge.begin_step(step)
        done = all(self._world.do(action) for action in step.actions)
        if done:
            self._world.expect(step.expectations)
        return done
