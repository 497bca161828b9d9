"""A panel on its boards, run by an engine, with a scenario as its feed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress

from msgspec.structs import replace

from panelbridge.bench.boards.faults import BoardFaults
from panelbridge.bench.language.plan import FEED, ClearFault, ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.condition_signals import conditions_of, signals_in
from panelbridge.bench.verdict.trace import Sample
from panelbridge.bench.world.aircraft_on_bench import AircraftOnBench
from panelbridge.bench.world.faults import (
    DIMMED,
    as_wired,
    board_is_lost,
    lamp_cannot_be_dimmed,
    lamp_is_dead,
)
from panelbridge.clock import Clock
from panelbridge.config.dimming import undimmed_lamps
from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.words import named_board
from panelbridge.engine.loop import Engine
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.waiter import Waiter
from panelbridge.errors import LogicError, MessageError
from panelbridge.feeds.feed import Feed, FeedReading
from panelbridge.link.ports import PortOpener, is_in_process
from panelbridge.link.ports.frame_port import Frame
from panelbridge.link.session import TONE_OF_HORN, BoardSession, LinkState, SetupPlan
from panelbridge.link.wire import Command, MessageType, Report
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.signals import AircraftState, Commands, Event, Reason
from panelbridge.simboard.sim_panel import SimPanel

_HORN_OF_TONE = {tone: pattern for pattern, tone in TONE_OF_HORN.items()}


class ScenarioFeed(Feed):
    """The aircraft's side of a scenario, as a feed. Unknown until it begins."""

    name = "the scenario"

    def __init__(self, plan: ScenarioPlan) -> None:
        self.aircraft = AircraftOnBench(plan.aircraft, plan.start)
        self._begun = False
        self.time_s = 0.0
        """The scenario's time."""

    def begin(self) -> None:
        """Give the values of the start from now on."""
        self._begun = True

    def mend(self, now_s: float, action: ClearFault) -> None:
        """Mend what ``action`` names, of what is lost or stuck."""
        for name, kind in [*self.aircraft.broken]:
            if action.mends(name, kind):
                self.aircraft.mend_value(now_s, name, kind)

    def read(self, now_s: float) -> FeedReading:
        """The aircraft at the scenario's time."""
        if not self._begun:
            return FeedReading(AircraftState(), fresh=True, time_s=now_s)
        if self.aircraft.next_due_s <= self.time_s:
            self.aircraft.advance(self.time_s)
        fresh = FEED not in self.aircraft.lost
        return FeedReading(self.aircraft.state, fresh=fresh, time_s=now_s)

    def send(self, now_s: float, commands: Commands) -> None:
        """The simulator's own handle follows the panel."""
        self.aircraft.follow(self.time_s, commands)

    def restart(self, now_s: float) -> None:
        """Nothing: a scenario runs once."""


class PanelOnBoards:
    """The engine of a panel on its boards.

    Args:
        plan: the scenario; it has a panel.
        urls: port of each board.
        clock: the run's time.
        waiter: how the engine waits.
    """

    def __init__(
        self, plan: ScenarioPlan, urls: Mapping[str, str], clock: Clock, waiter: Waiter
    ) -> None:
        if plan.panel is None:
            raise LogicError(f"a board needs a panel: {plan.title}")
        self.panel: PanelFile = plan.panel
        plans = {name: SetupPlan.of(self.panel, name) for name in self.panel.boards}
        self.clock = clock
        self._undimmed = undimmed_lamps(self.panel)
        self.feed = ScenarioFeed(plan)
        self._events: list[Event] = []
        simulated = [name for name, url in urls.items() if is_in_process(url)]
        self.sim_panel = None
        if simulated:
            declared = switches_of(plan.aircraft)
            self.sim_panel = SimPanel(self.panel, now_s=clock.now(), declared=declared)
        self.simulated = frozenset(simulated)
        self.faults: BoardFaults | None = None
        """What is broken on simulated boards; None without one."""
        if self.sim_panel is not None:
            self.sim_panel.register(clock)
            self.faults = BoardFaults(self.sim_panel, clock)
        opener = PortOpener(waiter.wake)
        self._sessions = [BoardSession(plan, urls[name], opener) for name, plan in plans.items()]
        self.engine = Engine(
            LoadedPanel(self.panel, plan.aircraft, None, plan.path, plan.path),
            clock=clock,
            waiter=waiter,
            feed=self.feed,
            sessions=self._sessions,
            sim_panel=self.sim_panel,
            on_event=self._events.append,
            explained=_outputs_in(plan),
        )
        self._snapshot: Snapshot = self.engine.snapshot()

    def turn(self) -> bool:
        """One turn of the engine; whether there is a new snapshot."""
        self.engine.turn()
        before, self._snapshot = self._snapshot, self.engine.snapshot()
        return before is not self._snapshot

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why a lamp or the horn was as it was in the last snapshot; none if nobody asks of it."""
        reasons = self._snapshot.reasons.get(name, ())
        if self.faults is not None and name in self.faults.dead_lamps:
            reasons += (lamp_is_dead(name),)
        if name in self._undimmed and self._snapshot.outputs.lamps.get(name, 0) in DIMMED:
            reasons += (lamp_cannot_be_dimmed(name),)
        output = self.panel.lamps.get(name) or self.panel.horn
        for board in self._snapshot.boards:
            lost = board.state is not LinkState.LIVE
            if lost and output is not None and board.name == output.board:
                reasons += (board_is_lost(board.name, board.message or str(board.state)),)
        return reasons

    def take_events(self) -> list[Event]:
        """What has happened since this was last called."""
        taken, self._events[:] = [*self._events], []
        return taken

    def close(self) -> None:
        """Bring the lamps to idle and close the ports."""
        self.engine.close()
        if self.sim_panel is not None:
            self.sim_panel.unregister()

    @property
    def not_live(self) -> list[str]:
        """Why boards are not live, a text for each; not those that the scenario has unplugged."""
        unplugged = self.faults.unplugged if self.faults is not None else frozenset()
        return [
            f"{named_board(board.name)} on {board.url}: {board.message or board.state}"
            for board in self._snapshot.boards
            if board.state is not LinkState.LIVE and board.name not in unplugged
        ]

    def sample(self, time_s: float) -> Sample:
        """The panel as of the last snapshot; its lamps and horn as the boards accept them.

        Lamps of simulated boards are as their pins drive them.
        """
        snapshot = self._snapshot
        live = {b.name for b in snapshot.boards if b.state is LinkState.LIVE}
        accepted: dict[str, int] = {}
        for session in self._sessions:
            frames = session.recent_frames() if session.name in live else ()
            accepted |= accepted_outputs(session.plan, frames)
        driven = self.sim_panel.lamps() if self.sim_panel is not None else {}
        lit = as_wired(accepted, self._undimmed)
        lamps = {
            name: driven[name] if lamp.board in self.simulated else lit.get(name, 0)
            for name, lamp in self.panel.lamps.items()
        }
        if self.faults is not None:
            lamps |= dict.fromkeys(self.faults.dead_lamps, 0)
        outputs = snapshot.outputs
        if self.panel.horn is not None:
            outputs = replace(outputs, horn=_HORN_OF_TONE[accepted["horn"]])
        shown = ShownFacts(outputs, snapshot.commands, snapshot.logic.faults, lamps)
        return Sample(time_s, snapshot.world.having({ShownFacts: shown}))


def accepted_outputs(plan: SetupPlan, frames: Sequence[Frame]) -> dict[str, int]:
    """What each output of a board does: brightness of lamps, the horn's pattern, pulses.

    A REPORT names the last COMMAND that the board took; until it names one the board is at idle.

    Args:
        plan: the board's set-up.
        frames: the last ones of its link, oldest first; none when it is not live.
    """
    values = plan.idle_values
    sent = [m for _, way, m in frames if way == ">" and m[0] == MessageType.COMMAND]
    commands = [Command.unpack(message, plan.shape) for message in sent]
    for _, way, message in reversed(frames):
        if way == "<" and message[0] == MessageType.REPORT:
            with suppress(MessageError):  # the link counts it
                report = Report.unpack(message, plan.shape)
                named = (report.session, report.command_sequence)
                took = [c.outputs for c in commands if (c.session, c.sequence) == named]
                values = took[-1] if took else values
                break
    return dict(zip(plan.outputs, values, strict=True))


def _outputs_in(plan: ScenarioPlan) -> list[str]:
    """Every signal that the scenario's conditions name; for lamps and the horn the output."""
    specs = signals_of(plan.aircraft, plan.panel)
    conditions = (condition for step in plan.steps for condition, _ in conditions_of(step))
    names = {name for condition in conditions for name in signals_in(condition)}
    return sorted({specs[name].output or name for name in names})
