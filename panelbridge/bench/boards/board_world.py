"""Real time: a scenario on boards, whose engine is polled; hands on their switches.

The scenario's time stands still while a person is asked for a switch; what is expected goes on
being watched. What is expected now is decided before the next step.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from panelbridge.bench.boards.board_hands import ASK_S, Ask, BoardHands
from panelbridge.bench.boards.faults import is_of_feed
from panelbridge.bench.boards.panel_on_boards import PanelOnBoards
from panelbridge.bench.boards.watch import GRACE_S, BoardWatch
from panelbridge.bench.language.expectations import Expectation
from panelbridge.bench.language.plan import (
    Action,
    AddNoise,
    ClearFault,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
    Step,
)
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.run_words import actual_words
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.runner import ScenarioWorld
from panelbridge.bench.world.switches_on_bench import start_positions
from panelbridge.engine.loop import TICK_S
from panelbridge.errors import UsageError
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, HELLO_WAIT_S

LIVE_WITHIN_S = 20.0
"""Longest time in which boards are found and set up, s."""
GONE_AFTER_S = BACK_OFF_CAP_S + HELLO_WAIT_S
"""A board that is lost for longer, s, does not come back by a reconnect."""
SETTLING_S = 1.0
"""Between the start condition and the scenario's first instant, s."""


class _BoardGoneError(Exception):
    """A board was there and is lost for longer than a reconnect can take."""


class BoardWorld(ScenarioWorld):
    """The world of a scenario on boards.

    Args:
        plan: the scenario.
        panel: its panel on the boards.
        ask: asks a person to move a switch.
        were_there: the boards were live in an earlier scenario, so one that is not is lost.
    """

    grace_s = GRACE_S

    def __init__(
        self, plan: ScenarioPlan, panel: PanelOnBoards, ask: Ask, *, were_there: bool = False
    ) -> None:
        specs = signals_of(plan.aircraft, plan.panel)
        self._watch = BoardWatch(specs, panel.sample(0.0), panel.reasons)
        super().__init__(plan, specs, self._watch)
        self._panel = panel
        self._hands = BoardHands(panel, specs, ask)
        self._zero_s = panel.clock.now()
        self._waited_s = 0.0
        self._still_since_s: float | None = None
        self._acted_s = 0.0
        self.were_there = were_there
        """The boards were live at some time."""
        self._last_there_s = self._zero_s
        self._rest: Sequence[Step] = plan.steps

    def run(self) -> ScenarioResult:
        """Run it to its end, or until a board is gone for good: that is a failure."""
        try:
            return super().run()
        except _BoardGoneError:
            actual = f"lost for {GONE_AFTER_S:g} s: " + "\n".join(self._panel.not_live)
            self.judge.fail(self.judge.spot, "the boards stay connected", actual)
            return self.judge.break_off(self._plan, self._rest)

    def _do(self, step: Step, rest: Sequence[Step]) -> bool:
        self._rest = rest
        return super()._do(step, rest)

    # -- time -----------------------------------------------------------------------------------

    @property
    def time_s(self) -> float:
        """The scenario's time; it stands still while a person is asked."""
        now_s = self._panel.clock.now() if self._still_since_s is None else self._still_since_s
        return now_s - self._zero_s - self._waited_s

    def turn(self, until_s: float = 0.0) -> None:
        """One turn of the engine, and a look at what came of it."""
        for action in self._mending.take(self.time_s):
            self.do(action)
        new = self._panel.turn()
        self._give_up_a_board_that_is_gone()
        time_s = self._panel.feed.time_s = self.time_s
        for event in self._panel.take_events():
            self.judge.hear(replace(event, time_s=time_s))
        if new:
            self.judge.look(self._panel.sample(time_s))
        self.judge.pass_time(time_s)

    def _give_up_a_board_that_is_gone(self) -> None:
        now_s = self._panel.clock.now()
        if not self._panel.not_live:
            self._last_there_s = now_s
            self.were_there = True
        elif self.were_there and now_s - self._last_there_s > GONE_AFTER_S:
            raise _BoardGoneError

    def is_over(self, end_s: float) -> bool:
        """The time has come to ``end_s``."""
        return self.time_s >= end_s

    def look_closely(self, now_s: float) -> None:
        """Nothing: each sample is up to date."""

    def _turn_for(self, time_s: float) -> None:
        until_s = self._panel.clock.now() + time_s
        while self._panel.clock.now() < until_s:
            self.turn()

    # -- the start ------------------------------------------------------------------------------

    def begin(self) -> bool:
        """Find the boards; then switches and the aircraft as at the start, and a while to settle.

        Raises:
            UsageError: a board does not come alive.
        """
        self._find_boards()
        switches = [*self._panel.panel.wired_switches]
        for name, position in start_positions(self._plan, switches).items():
            move = MoveSwitch(name, position)
            if not self._hands.is_there(move, self.judge.sample) and not self._move(move):
                return False
        # A simulated handle travels while the aircraft is unknown still: nothing is commanded.
        self._turn_for(SETTLING_S)
        self._panel.feed.begin()
        self._turn_for(SETTLING_S)
        self._zero_s, self._waited_s = self._panel.clock.now(), 0.0
        self.judge.forget()
        return True

    def _find_boards(self) -> None:
        start_s = self._panel.clock.now()
        self.turn()
        while why := self._panel.not_live:
            if self._panel.clock.now() - start_s > LIVE_WITHIN_S:
                what = f"no board within {LIVE_WITHIN_S:g} s"
                raise UsageError(what, "--port", "\n    ".join(why))
            self.turn()

    # -- steps ----------------------------------------------------------------------------------

    @property
    def condition_holds(self) -> bool:
        """It is true of a sample from after what was done last."""
        fresh = self.judge.sample.time_s > self._acted_s + TICK_S
        return fresh and super().condition_holds

    def expect(self, expectations: Sequence[Expectation]) -> None:
        """Begin to watch; the next step must not change what is expected now."""
        for expectation in expectations:
            self._watch.expect(expectation, self.time_s)
        while self._watch.now_is_open:
            self.turn()

    def do(self, action: Action) -> bool:
        """Do an action; False when a person does not move a switch."""
        done = self._carry_out(action)
        self._acted_s = self.time_s
        return done

    def _carry_out(self, action: Action) -> bool:
        feed, time_s, faults = self._panel.feed, self.time_s, self._panel.faults
        if isinstance(action, MoveSwitch):
            return self._move(action)
        if isinstance(action, SetValues):
            feed.aircraft.put(time_s, action.values)
        elif isinstance(action, RampValues):
            feed.aircraft.ramp(time_s, action)
        elif isinstance(action, AddNoise):
            feed.aircraft.add_noise(time_s, action)
        elif isinstance(action, ClearFault):
            feed.mend(time_s, action)
            if faults is not None:
                faults.clear(action)
        elif isinstance(action, SetFault) and is_of_feed(action, feed.aircraft.names):
            feed.aircraft.break_value(time_s, action.target, action.kind)
        elif faults is not None:
            faults.set(action)
        return True

    def _move(self, action: MoveSwitch) -> bool:
        """Move a switch; False when a person was asked and did not."""
        asked_s = self._panel.clock.now()
        if not self._hands.move(asked_s, action):
            return True
        self._still_since_s = asked_s
        while not (moved := self._hands.is_there(action, self.judge.sample)):
            if self._panel.clock.now() - asked_s > ASK_S:
                words = f"{self._hands.words(action)}, within {ASK_S:g} s"
                actual = actual_words([action.switch], self._specs, self.judge.sample)
                self.judge.fail(self.judge.spot, words, actual)
                break
            self.turn()
        self._waited_s += self._panel.clock.now() - asked_s
        self._still_since_s = None
        return moved
