"""Faults of boards and feeds: the engine goes on, reports them, and commands nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import groupby

import pytest
from msgspec.structs import replace

from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import TwoContactHandle
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.loop import Engine
from panelbridge.engine.make_feed import feed_of
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.waiter import Waiter
from panelbridge.feeds.feed import FeedReading
from panelbridge.feeds.fixed_feed import FixedFeed, parked
from panelbridge.link.ports import PortOpener
from panelbridge.link.session import BoardSession, LinkState, SetupPlan
from panelbridge.signals import AircraftState, Commands, Event, GearPosition
from panelbridge.simboard import registry
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel


class RecordingFeed(FixedFeed):
    """Fixed values, and every command that came."""

    def __init__(self, aircraft: AircraftState) -> None:
        super().__init__(aircraft)
        self.commands: list[Commands] = []

        self.fresh = True

    def read(self, now_s: float) -> FeedReading:
        reading = super().read(now_s)
        return reading if self.fresh else replace(reading, aircraft=AircraftState(), fresh=False)

    def send(self, now_s: float, commands: Commands) -> None:
        self.commands.append(commands)
        super().send(now_s, commands)

    @property
    def asked(self) -> list[GearPosition]:
        """What was asked of the gear, each time that it was something else."""
        asked = [gear for gear, _ in groupby(command.gear for command in self.commands)]
        return [gear for gear in asked if gear is not None]


class BoardTime:
    """The boards' time: it goes on while the engine's clock stands, as in a suspended computer."""

    def __init__(self, clock: VirtualClock) -> None:
        self._clock = clock
        self.ahead_s = 0.0

    def now(self) -> float:
        return self._clock.now() + self.ahead_s

    def sleep_until(self, due_s: float) -> None:
        self._clock.sleep_until(due_s - self.ahead_s)

    def wake(self) -> None:
        self._clock.wake()


@dataclass
class Rig:
    """An engine in virtual time with simulated boards, and a hand on everything."""

    engine: Engine
    clock: VirtualClock
    sim_panel: SimPanel
    feed: RecordingFeed
    panel: PanelFile
    boards: BoardTime
    events: list[Event] = field(default_factory=list)

    def run(self, seconds: float) -> Snapshot:
        end = self.clock.now() + seconds
        while self.clock.now() < end:
            self.engine.turn()
        return self.engine.snapshot()

    def run_until(self, what: Callable[[Snapshot], bool], limit_s: float = 30.0) -> Snapshot:
        end = self.clock.now() + limit_s
        while not what(self.engine.snapshot()):
            assert self.clock.now() < end, f"never came: {self.engine.snapshot().boards}"
            self.engine.turn()
        return self.engine.snapshot()

    def move(self, switch: str, position: str) -> None:
        self.sim_panel.move(self.clock.now(), switch, position)

    def unplug(self, name: str, for_s: float = float("inf")) -> None:
        entry = registry.find(name)
        assert entry is not None
        entry.cable.unplug(self.clock.now(), for_s)

    def names(self) -> list[str]:
        return [h.name for h in self.events]


IN_AIR = replace(
    parked(3, 2, 4),
    strut_compressed=(False,) * 3,
    throttle_fraction=(0.8, 0.8),
    engine_running=(True, True),  # their pumps move the gear
)


@contextmanager
def rig(
    panel: str = "panels/demo_panel.yaml",
    *,
    aircraft: AircraftState = IN_AIR,
    swap: Callable[[LoadedPanel], dict[str, SimBoard]] | None = None,
    urls: dict[str, str] | None = None,
    frame_log: FrameLog | None = None,
) -> Iterator[Rig]:
    loaded = load_panel(shipped_config(panel))
    clock = VirtualClock()
    boards = BoardTime(clock)
    sim_panel = SimPanel(loaded.panel)
    swapped = swap(loaded) if swap is not None else {}
    for name, board in sim_panel.boards.items():
        registry.register(name, swapped.get(name, board), boards)
    waiter = Waiter(clock)
    sessions = [
        BoardSession(
            SetupPlan.of(loaded.panel, name),
            (urls or {}).get(name, f"simboard://{name}"),
            PortOpener(waiter.wake),
        )
        for name in loaded.panel.boards
    ]
    events: list[Event] = []
    feed = RecordingFeed(aircraft)
    engine = Engine(
        loaded,
        clock=clock,
        waiter=waiter,
        feed=feed,
        sessions=sessions,
        sim_panel=sim_panel,
        on_event=events.append,
        frame_log=frame_log,
    )
    try:
        yield Rig(engine, clock, sim_panel, feed, loaded.panel, boards, events)
    finally:
        engine.close()
        for name in loaded.panel.boards:
            registry.unregister(name)


def state(snapshot: Snapshot, number: int = 0) -> LinkState:
    return snapshot.boards[number].state


def live(snapshot: Snapshot) -> bool:
    boards = snapshot.boards
    return bool(boards) and all(board.state is LinkState.LIVE for board in boards)


def test_a_pulled_cable_is_reported_once_and_the_lamps_come_back() -> None:
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        lamps = dict(bench.sim_panel.lamps())
        assert any(lamps.values())
        bench.unplug("gear_panel", for_s=12.0)
        snapshot = bench.run(11.0)
        assert state(snapshot) in (LinkState.WAITING, LinkState.OPENING)
        assert snapshot.boards[0].message
        assert snapshot.switches.get("gear_handle") is None
        assert not any(bench.sim_panel.lamps().values())
        assert bench.names().count("board_lost") == 1
        snapshot = bench.run_until(live)
        bench.run(0.5)
        assert dict(bench.sim_panel.lamps()) == lamps
        assert snapshot.boards[0].reconnects == 1
        assert snapshot.boards[0].message == ""


def test_a_handle_that_moved_while_the_cable_was_off_is_no_command() -> None:
    """DEVELOPERS.md, decision 10."""
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        assert bench.feed.asked == [GearPosition.DOWN]
        bench.unplug("gear_panel", for_s=3.0)
        bench.run(1.0)
        bench.move("gear_handle", "up")
        bench.run_until(live)
        snapshot = bench.run(10.0)
        assert bench.feed.asked == [GearPosition.DOWN]
        assert "gear_handle_disagreed" in bench.names()
        assert [leg.state for leg in snapshot.logic.legs] == ["down_locked"] * 3
        assert snapshot.outputs.lamps["handle_red"] > 0
        # The pilot moves it: down agrees with the gear, up is then a command again.
        bench.move("gear_handle", "down")
        bench.run(2.0)
        assert "gear_handle_agreed" in bench.names()
        bench.move("gear_handle", "up")
        snapshot = bench.run(12.0)
        assert bench.feed.asked[-1] is GearPosition.UP
        assert [leg.state for leg in snapshot.logic.legs] == ["up_locked"] * 3


@pytest.mark.parametrize("clock_stands", [False, True], ids=["clock goes on", "clock stands"])
def test_a_handle_that_moved_while_the_computer_slept_is_no_command(clock_stands: bool) -> None:
    """DEVELOPERS.md, decision 10: 30 s of sleep; the clock of some systems stands still in it."""
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        bench.move("gear_handle", "up")
        if clock_stands:
            bench.boards.ahead_s = 30.0
        else:
            bench.clock.advance(30.0)
        snapshot = bench.run(10.0)
        assert live(snapshot)
        assert bench.feed.asked == [GearPosition.DOWN]
        assert "gear_handle_disagreed" in bench.names()
        assert bench.names().count("host_not_heard") == 1
        assert [leg.state for leg in snapshot.logic.legs] == ["down_locked"] * 3
        assert any(bench.sim_panel.lamps().values())


def test_a_handle_found_up_at_the_start_moves_nothing() -> None:
    with rig() as bench:
        bench.move("gear_handle", "up")
        bench.run(0.6)
        snapshot = bench.run(10.0)
        assert live(snapshot)
        assert bench.feed.asked == []
        assert [leg.state for leg in snapshot.logic.legs] == ["down_locked"] * 3


def test_a_board_that_is_reset_comes_back_with_its_lamps() -> None:
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        entry = registry.find("gear_panel")
        assert entry is not None
        lamps = dict(bench.sim_panel.lamps())
        entry.cable.reset(bench.clock.now())
        bench.run(0.05)
        bench.run_until(live)
        bench.run(0.5)
        assert dict(bench.sim_panel.lamps()) == lamps
        assert bench.engine.snapshot().boards[0].reconnects == 1


def _refusing(bench: Rig) -> Snapshot:
    snapshot = bench.run(15.0)
    assert state(snapshot) is LinkState.REFUSED
    assert snapshot.boards[0].message
    assert bench.feed.asked == []
    assert bench.names().count("board_refused") == 1
    return snapshot


def test_another_kind_of_board_is_refused() -> None:
    with rig(swap=lambda loaded: {"gear_panel": SimBoard("uno")}) as bench:
        message = _refusing(bench).boards[0].message
        assert "uno" in message
        assert "mega2560" in message


def test_another_protocol_version_is_refused() -> None:
    with rig(swap=lambda loaded: {"gear_panel": SimBoard("mega2560", protocol=9)}) as bench:
        message = _refusing(bench).boards[0].message
        assert "9" in message
        assert "flash" in message


def test_one_board_may_be_missing_and_the_other_goes_on() -> None:
    with rig("panels/two_boards.yaml") as bench:
        bench.run_until(live)
        bench.run(1.0)
        bench.unplug("pedestal")
        bench.run(2.0)
        snapshot = bench.engine.snapshot()
        states = {board.name: board.state for board in snapshot.boards}
        assert states["gear_panel"] is LinkState.LIVE
        assert states["pedestal"] is not LinkState.LIVE
        assert snapshot.switches.get("steering_button") is None
        bench.move("gear_handle", "up")
        snapshot = bench.run(12.0)
        assert [leg.state for leg in snapshot.logic.legs] == ["up_locked"] * 3
        entry = registry.find("pedestal")
        assert entry is not None
        entry.cable.replug(bench.clock.now())
        bench.run_until(live)
        bench.move("horn_silence", "pressed")
        snapshot = bench.run(0.3)
        assert snapshot.switches.get("horn_silence") is True


def test_a_port_that_does_not_exist_leaves_the_other_board_alone() -> None:
    with rig("panels/two_boards.yaml", urls={"pedestal": "simboard://nowhere"}) as bench:
        snapshot = bench.run(8.0)
        states = {board.name: board for board in snapshot.boards}
        assert states["gear_panel"].state is LinkState.LIVE
        assert states["pedestal"].message
        assert bench.names().count("board_not_found") <= 1


@pytest.mark.parametrize(
    ("fault", "event"),
    [
        (SwitchFault.CONTRADICTORY, "gear_handle_contradicted"),
        (SwitchFault.DEAD_WIRE, "gear_handle_stuck_between"),
    ],
)
def test_a_broken_handle_keeps_its_last_position_and_commands_nothing(
    fault: SwitchFault, event: str
) -> None:
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        bench.sim_panel.break_switch(bench.clock.now(), "gear_handle", fault)
        snapshot = bench.run(5.0)
        assert event in bench.names()
        assert snapshot.logic.handle is GearPosition.DOWN
        assert snapshot.logic.faults
        assert snapshot.commands.gear is None
        bench.move("gear_handle", "up")
        snapshot = bench.run(12.0)
        assert [leg.state for leg in snapshot.logic.legs] == ["down_locked"] * 3
        bench.sim_panel.move(bench.clock.now(), "gear_handle", "down")
        bench.sim_panel.break_switch(bench.clock.now(), "gear_handle", SwitchFault.NONE)
        snapshot = bench.run(3.0)
        assert not snapshot.logic.faults
        assert bench.feed.asked == [GearPosition.DOWN, GearPosition.DOWN]


def test_edges_of_one_report_reach_the_logic_one_by_one() -> None:
    """A press that is over before the next poll is still a press."""
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        for position in ("pressed", "released"):
            bench.move("lamp_test", position)
            bench.clock.advance(0.06)  # the board sees it, the engine sleeps
        bench.run(0.1)
        tests = [name for name in bench.names() if name.startswith("lamp_test")]
        assert tests == ["lamp_test_started", "lamp_test_ended"]


@pytest.mark.parametrize("wake_s", [0.01, 0.06], ids=["a poll each 10 ms", "one poll"])
def test_two_contacts_that_open_at_once_are_no_movement(wake_s: float) -> None:
    """Both contacts of the handle were closed: with one open before the other it would be down."""
    with rig() as bench:
        bench.run_until(live)
        bench.move("gear_handle", "up")
        bench.run(12.0)
        wired = bench.panel.switches.gear_handle
        assert isinstance(wired, TwoContactHandle)
        board = bench.sim_panel.boards["gear_panel"]
        board.set_contact(bench.clock.now(), wired.down_pin, True)
        bench.run(0.1)
        assert bench.names()[-1] == "gear_handle_contradicted"
        before = len(bench.events)
        board.set_contact(bench.clock.now(), wired.up_pin, False)
        board.set_contact(bench.clock.now(), wired.down_pin, False)
        bench.clock.advance(wake_s)
        bench.run(0.1)
        assert not [name for name in bench.names()[before:] if "moved" in name]
        assert bench.feed.asked[-1] is GearPosition.UP


def test_a_lost_feed_is_reported_and_commands_nothing() -> None:
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        bench.move("gear_handle", "up")
        bench.run(12.0)
        bench.feed.fresh = False
        snapshot = bench.run(5.0)
        assert not snapshot.feed_fresh
        assert snapshot.aircraft == AircraftState()
        assert bench.names().count("feed_lost") == 1
        bench.feed.fresh = True
        snapshot = bench.run(1.0)
        assert snapshot.feed_fresh
        assert bench.names().count("feed_found") == 2
        assert bench.feed.asked == [GearPosition.DOWN, GearPosition.UP]
        assert [leg.state for leg in snapshot.logic.legs] == ["up_locked"] * 3


def test_lamps_are_at_idle_after_the_end() -> None:
    with rig() as bench:
        bench.run_until(live)
        bench.run(1.0)
        assert any(bench.sim_panel.lamps().values())
        bench.engine.close()
        assert not any(bench.sim_panel.lamps().values())
        assert all(b.state is LinkState.IDLE for b in bench.engine.snapshot().boards)


def test_the_feed_of_a_panel_without_one_is_a_parked_aircraft() -> None:
    loaded = replace(load_panel(shipped_config("panels/demo_panel.yaml")), feed=None)
    reading = feed_of(loaded).read(0.0)
    assert reading.aircraft == parked(3, 2, 4)
