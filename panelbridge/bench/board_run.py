"""Runs one scenario in real time on boards.

The scenario's time stands still while a person is asked for a switch; what is expected goes on
being watched. What is expected now is decided before the next step.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from math import inf

from panelbridge.bench.board_grace import GRACE_S, looks_from_s, with_grace
from panelbridge.bench.board_hands import ASK_S, Ask, BoardHands
from panelbridge.bench.board_world import BoardWorld
from panelbridge.bench.condition_check import check_of, signals_in
from panelbridge.bench.monitors import Monitor, Verdict, monitor_of
from panelbridge.bench.plan import (
    Action,
    After,
    At,
    ClearFault,
    Expectation,
    ExpectNow,
    Failure,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
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
from panelbridge.bench.signals_by_name import signals_of
from panelbridge.bench.trace import Mark, ScenarioResult, Trace
from panelbridge.errors import UsageError
from panelbridge.signals import Happening

LIVE_WITHIN_S = 20.0
"""So long boards may take to be found and set up, s."""
SETTLING_S = 1.0
"""Between the start condition and the scenario's first instant, s."""
LAST_HAPPENINGS = 8
_USUAL = {"dimmer": 1.0}


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
        self._zero_s = world.clock.now()
        self._waited_s = 0.0
        self._still_since_s: float | None = None
        self._monitors: list[tuple[Monitor, float]] = []
        self._of_now: list[Monitor] = []
        self._failures: list[Failure] = []
        self._trace = Trace()
        self._recent: deque[Happening] = deque(maxlen=LAST_HAPPENINGS)
        self._step_happenings: list[Happening] = []
        self._lost: set[str] = set()
        self._ended = False
        self._sample = world.sample(0.0)

    def run(self) -> ScenarioResult:
        """Run it to its end.

        Raises:
            UsageError: a board does not come alive.
        """
        self._find_boards()
        self._begin()
        began_s = 0.0
        for step in self._plan.steps:
            if not self._ended:
                began_s = self._await(step, began_s)
            if self._ended:
                break
            self._do(step)
        while not self._ended and self._time_s < self._end_s(began_s):
            self._turn()
        self._close()
        return ScenarioResult(self._plan, tuple(self._failures), self._trace)

    # -- time -----------------------------------------------------------------------------------

    @property
    def _time_s(self) -> float:
        now_s = self._world.clock.now() if self._still_since_s is None else self._still_since_s
        return now_s - self._zero_s - self._waited_s

    def _end_s(self, began_s: float) -> float:
        open_s = [monitor.ends_s for monitor, _ in self._monitors if monitor.ends_s < inf]
        return max([began_s + 2 * GRACE_S, self._plan.runs_for_s or 0.0, *open_s])

    def _turn(self) -> None:
        """One turn of the engine, and a look at what came of it."""
        new = self._world.turn()
        time_s = self._world.feed.time_s = self._time_s
        heard, self._world.happenings[:] = list(self._world.happenings), []
        for happening in heard:
            told = replace(happening, time_s=time_s)
            self._recent.append(told)
            self._step_happenings.append(told)
            self._trace.happenings.append(told)
            self._judge([(m, m.hear(told)) for m, _ in self._monitors])
        if new:
            self._sample = self._world.sample(time_s)
            self._trace.samples.append(self._sample)
            self._judge([(m, m.look(self._sample)) for m, s in self._monitors if time_s >= s])
        self._judge(
            [(m, m.expire(self._sample)) for m, _ in self._monitors if time_s > m.deadline_s]
        )
        self._trace.end_s = time_s

    # -- the start ------------------------------------------------------------------------------

    def _find_boards(self) -> None:
        start_s = self._world.clock.now()
        self._turn()
        while why := self._world.not_live:
            if self._world.clock.now() - start_s > LIVE_WITHIN_S:
                raise UsageError(
                    f"no board within {LIVE_WITHIN_S:g} s",
                    "--port",
                    "\n    ".join(why),
                )
            self._turn()

    def _begin(self) -> None:
        """Switches to where they stand at the start, then the aircraft, then a while to settle."""
        steps = self._plan.steps
        spot = steps[0].spot if steps else Spot(str(self._plan.path), 1, 1)
        for name, position in self._start_switches().items():
            self._move(MoveSwitch(name, position), spot, at_start=True)
            if self._ended:
                return
        # A simulated handle travels while the aircraft is unknown still: nothing is commanded.
        begins_s = self._world.clock.now() + SETTLING_S
        while self._world.clock.now() < begins_s:
            self._turn()
        self._world.feed.begin()
        begins_s = self._world.clock.now() + SETTLING_S
        while self._world.clock.now() < begins_s:
            self._turn()
        self._zero_s, self._waited_s = self._world.clock.now(), 0.0
        self._trace = Trace()
        self._recent.clear()

    def _start_switches(self) -> dict[str, str | float]:
        panel, handle = self._world.panel, self._plan.start.gear_handle
        usual: dict[str, str | float] = {
            name: _USUAL.get(name, "released") for name, entry in panel.switches if entry
        }
        if "gear_handle" in usual:
            usual["gear_handle"] = "down" if handle is None else handle.value
        return usual | dict(self._plan.start_switches)

    # -- steps ----------------------------------------------------------------------------------

    def _await(self, step: Step, began_s: float) -> float:
        """Wait until ``step`` begins; when that is."""
        when = step.when
        if isinstance(when, WaitFor):
            return self._await_condition(when, step.spot)
        due_s = when.time_s if isinstance(when, At) else began_s + when.wait_s
        while self._time_s < due_s:
            self._turn()
        # What is timed from here counts from when it was due: turns do not add up.
        return due_s if isinstance(when, At | After) else self._time_s

    def _await_condition(self, when: WaitFor, spot: Spot) -> float:
        check, limit_s = check_of(when.condition, self._specs), self._time_s + when.limit_s
        while not check(self._sample):
            if self._time_s > limit_s + GRACE_S:
                words = condition_words(when.condition, self._specs)
                actual = actual_words(signals_in(when.condition), self._specs, self._sample)
                self._fail(spot, f"{words}, within {when.limit_s:g} s", actual)
                self._ended = True
                break
            self._turn()
        return self._time_s

    def _do(self, step: Step) -> None:
        self._step_happenings.clear()
        self._of_now.clear()
        self._trace.marks.append(Mark(self._time_s, step_words(step), step.spot))
        for action in step.actions:
            self._act(action, step.spot)
            if self._ended:
                return
        for expectation in step.expectations:
            self._expect(expectation, fresh=not step.actions)
        # The next step must not change what is expected now.
        while any(monitor in self._of_now for monitor, _ in self._monitors):
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
            self._lost.add(action.target)
            feed.lose(time_s, action)
        elif isinstance(action, ClearFault):
            feed.find(time_s, action, self._lost)

    def _move(self, action: MoveSwitch, spot: Spot, *, at_start: bool = False) -> None:
        if at_start and self._hands.is_there(action, self._sample):
            return
        asked_s = self._world.clock.now()
        if not self._hands.move(asked_s, action):
            return
        self._still_since_s = asked_s
        while not self._hands.is_there(action, self._sample):
            if self._world.clock.now() - asked_s > ASK_S:
                actual = actual_words([action.switch], self._specs, self._sample)
                self._fail(spot, f"{self._hands.words(action)}, within {ASK_S:g} s", actual)
                self._ended = True
                break
            self._turn()
        self._waited_s += self._world.clock.now() - asked_s
        self._still_since_s = None

    # -- expectations ---------------------------------------------------------------------------

    def _expect(self, expectation: Expectation, *, fresh: bool) -> None:
        """Begin to watch; ``fresh``: the last sample is not older than what was done."""
        time_s = self._time_s
        monitor = monitor_of(with_grace(expectation), self._specs, time_s)
        monitor.expected = expected_words(expectation, self._specs)
        self._monitors.append((monitor, looks_from_s(expectation, time_s)))
        if isinstance(expectation, ExpectNow):
            self._of_now.append(monitor)
            if fresh:
                self._judge([(monitor, monitor.look(self._sample))])
        # A person's hand was waited for: what it set off belongs to this step.
        for happening in self._step_happenings:
            verdict = monitor.hear(happening)
            if verdict is not None:
                self._judge([(monitor, verdict)])
                return

    def _judge(self, verdicts: list[tuple[Monitor, Verdict | None]]) -> None:
        decided = {id(monitor): verdict for monitor, verdict in verdicts if verdict is not None}
        if not decided:
            return
        for monitor, _ in self._monitors:
            verdict = decided.get(id(monitor))
            if verdict is None:
                continue
            if verdict.held:
                self._trace.marks.append(
                    Mark(self._time_s, monitor.expected, monitor.spot, passed=True)
                )
            else:
                self._fail(monitor.spot, monitor.expected, verdict.actual)
        self._monitors = [pair for pair in self._monitors if id(pair[0]) not in decided]

    def _fail(self, spot: Spot, expected: str, actual: str) -> None:
        lines = tuple(map(happening_line, self._recent))
        self._failures.append(Failure(spot, self._time_s, expected, actual, lines))
        self._trace.marks.append(Mark(self._time_s, expected, spot, failed=True))

    def _close(self) -> None:
        self._judge([(m, m.expire(self._sample)) for m, _ in self._monitors])
        self._failures.sort(key=lambda failure: failure.time_s)
