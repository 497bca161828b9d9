"""Runs one scenario in real time on boards.

The scenario's time stands still while a person is asked for a switch; what is expected goes on
being watched. What is expected now is decided before the next step.
"""

from __future__ import annotations

from dataclasses import replace

from panelbridge.bench.boards.grace import GRACE_S
from panelbridge.bench.boards.hands import ASK_S, Ask, BoardHands
from panelbridge.bench.boards.watch import BoardWatch
from panelbridge.bench.boards.world import BoardWorld
from panelbridge.bench.language.plan import (
    Action,
    At,
    ClearFault,
    FaultKind,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
    Spot,
    Step,
    WaitFor,
)
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.run_words import begin_words
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.switches_on_bench import start_positions
from panelbridge.engine.loop import TICK_S
from panelbridge.errors import UsageError
from panelbridge.logic.conditions import truth_of

LIVE_WITHIN_S = 20.0
"""So long boards may take to be found and set up, s."""
SETTLING_S = 1.0
"""Between the start condition and the scenario's first instant, s."""


class BoardRun:
    """One run.

    Args:
        plan: the scenario.
        world: its boards.
        ask: tells a person what to move.
    """

    def __init__(self, plan: ScenarioPlan, world: BoardWorld, ask: Ask) -> None:
        self._plan = plan
        self._world = world
        self._specs = signals_of(plan.aircraft, plan.panel)
        self._hands = BoardHands(world, self._specs, ask)
        self._watch = BoardWatch(self._specs, world.sample(0.0), world.reasons)
        self._zero_s = world.clock.now()
        self._waited_s = 0.0
        self._still_since_s: float | None = None
        self._acted_s = 0.0
        self._ended = False

    def run(self) -> ScenarioResult:
        """Run it to its end.

        Raises:
            UsageError: a board does not come alive.
        """
        self._find_boards()
        self._begin()
        began_s = 0.0
        for number, step in enumerate(self._plan.steps):
            if not self._ended:
                began_s = self._await(step, began_s)
            if not self._ended:
                self._do(step)
            if self._ended:
                return self._watch.break_off(self._plan, self._plan.steps[number:])
        least_s = max(began_s + 2 * GRACE_S, self._plan.runs_for_s or 0.0)
        while self._time_s < max(least_s, self._watch.last_limit_s):
            self._turn()
        return self._watch.finish(self._plan)

    @property
    def _time_s(self) -> float:
        now_s = self._world.clock.now() if self._still_since_s is None else self._still_since_s
        return now_s - self._zero_s - self._waited_s

    def _turn(self) -> None:
        """One turn of the engine, and a look at what came of it."""
        new = self._world.turn()
        time_s = self._world.feed.time_s = self._time_s
        for event in self._world.take_events():
            self._watch.hear(replace(event, time_s=time_s))
        if new:
            self._watch.look(self._world.sample(time_s))
        self._watch.pass_time(time_s)

    def _turn_for(self, time_s: float) -> None:
        until_s = self._world.clock.now() + time_s
        while self._world.clock.now() < until_s:
            self._turn()

    # -- the start ------------------------------------------------------------------------------

    def _find_boards(self) -> None:
        start_s = self._world.clock.now()
        self._turn()
        while why := self._world.not_live:
            if self._world.clock.now() - start_s > LIVE_WITHIN_S:
                what = f"no board within {LIVE_WITHIN_S:g} s"
                raise UsageError(what, "--port", "\n    ".join(why))
            self._turn()

    def _begin(self) -> None:
        """Switches to where they stand at the start, then the aircraft, then a while to settle."""
        spot = self._plan.first_spot
        switches = [name for name, entry in self._world.panel.switches if entry]
        for name, position in start_positions(self._plan, switches).items():
            move = MoveSwitch(name, position)
            if not self._hands.is_there(move, self._watch.sample):
                self._move(move, spot)
            if self._ended:
                return
        # A simulated handle travels while the aircraft is unknown still: nothing is commanded.
        self._turn_for(SETTLING_S)
        self._world.feed.begin()
        self._turn_for(SETTLING_S)
        self._zero_s, self._waited_s = self._world.clock.now(), 0.0
        self._watch.forget()

    # -- steps ----------------------------------------------------------------------------------

    def _await(self, step: Step, began_s: float) -> float:
        """Wait until ``step`` begins; when that is."""
        when = step.when
        if isinstance(when, WaitFor):
            return self._await_condition(when, step.spot)
        due_s = when.time_s if isinstance(when, At) else began_s + when.wait_s
        if isinstance(when, At) and when.time_s < began_s - GRACE_S:
            self._watch.fail(step.spot, *begin_words(when, began_s))
        while self._time_s < due_s:
            self._turn()
        return due_s  # and not the time of the turn: lateness does not add up

    def _await_condition(self, when: WaitFor, spot: Spot) -> float:
        truth, limit_s = truth_of(when.condition, self._specs), self._time_s + when.limit_s
        # A sample from before what was done last says nothing.
        fresh_s = self._acted_s + TICK_S
        while not (self._watch.sample.time_s > fresh_s and truth(self._watch.sample)):
            if self._time_s > limit_s + GRACE_S:
                self._watch.fail_wait(when, spot)
                self._ended = True
                break
            self._turn()
        return self._time_s

    def _do(self, step: Step) -> None:
        self._watch.begin_step(step)
        for action in step.actions:
            self._act(action, step.spot)
            self._acted_s = self._time_s
            if self._ended:
                return
        for expectation in step.expectations:
            self._watch.expect(expectation, self._time_s)
        # The next step must not change what is expected now.
        while self._watch.now_is_open:
            self._turn()

    def _act(self, action: Action, spot: Spot) -> None:
        feed, time_s = self._world.feed, self._time_s
        if isinstance(action, SetValues):
            feed.aircraft.put(action.values)
        elif isinstance(action, RampValues):
            feed.aircraft.ramp(time_s, action)
        elif isinstance(action, MoveSwitch):
            self._move(action, spot)
        elif isinstance(action, SetFault):
            self._break(action)
        elif isinstance(action, ClearFault):
            feed.find(time_s, action)
            if self._world.faults is not None:
                self._world.faults.clear(action)

    def _break(self, fault: SetFault) -> None:
        if fault.kind is FaultKind.LOST:
            self._world.feed.lose(self._time_s, fault)
        elif self._world.faults is not None:
            self._world.faults.set(fault)

    def _move(self, action: MoveSwitch, spot: Spot) -> None:
        asked_s = self._world.clock.now()
        if not self._hands.move(asked_s, action):
            return
        self._still_since_s = asked_s
        while not self._hands.is_there(action, self._watch.sample):
            if self._world.clock.now() - asked_s > ASK_S:
                words = f"{self._hands.words(action)}, within {ASK_S:g} s"
                self._watch.fail_move(action.switch, words, spot)
                self._ended = True
                break
            self._turn()
        self._waited_s += self._world.clock.now() - asked_s
        self._still_since_s = None
