"""Builds an engine from a loaded panel and its boards' ports."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from panelbridge.clock import Clock, LiveClock, PacedClock
from panelbridge.config.load import LoadedPanel
from panelbridge.config.words import named_board
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.loop import Engine
from panelbridge.engine.make_feed import BUILT_IN, feed_of, flight_of, model_of
from panelbridge.engine.pace import Pace
from panelbridge.engine.show import Show
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.waiter import LiveWaiter, Waiter
from panelbridge.feeds.breakable_feed import BreakableFeed
from panelbridge.feeds.demo_flight import DemoFlight, DemoPilot
from panelbridge.feeds.feed import Feed, Pilot, TrustedFeed
from panelbridge.feeds.flight_model.flight_model_feed import FlightModelFeed
from panelbridge.feeds.flight_model.phase_pilot import PhasePilot
from panelbridge.link.ports import IN_PROCESS_SCHEME, PortOpener, is_in_process
from panelbridge.link.session import BoardSession, SetupPlan
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.inventory import switches_of
from panelbridge.printing import clean_line
from panelbridge.signals import Event, SwitchState
from panelbridge.simboard.sim_panel import SimPanel

AHEAD_S = 0.08
"""How far a simulated run may be ahead of real time, s: five ticks and a publication come together.

To wake a processor costs more than a turn: its memory caches have others' data by then.
"""
OnEvent = Callable[[Event], None]
OnSnapshot = Callable[[Snapshot], None]
OnSwitches = Callable[[float, SwitchState], None]


class Assembly(Struct):
    """An engine with its parts.

    Attributes:
        engine: ready to run.
        sim_panel: the simulated panel; None with real boards.
        is_demo: whether it flies the demonstration flight, with its pilot.
        sessions: one for each board.
        clock: the run's.
        show: how its time passes, and what is broken; None for a plain run.
        again: makes another one like it, at its start; None when that cannot be.
    """

    engine: Engine
    sim_panel: SimPanel | None
    is_demo: bool
    sessions: Sequence[BoardSession]
    clock: Clock
    show: Show | None = None
    again: Callable[[], Assembly] | None = None

    def take(self, other: Assembly) -> None:
        """Become another one: who holds this one has that one from now on."""
        for name in self.__struct_fields__:
            setattr(self, name, getattr(other, name))

    def heading(self, version: str, path: str) -> list[str]:
        """The first lines of a run: version, file, and each board with its set-up's checksum."""
        lines = [f"panelbridge {version}, panel {path}"]
        for session in self.sessions:
            plan = session.plan
            lines.append(
                f"{named_board(session.name)}: {plan.entry.board} on {clean_line(session.url)}, "
                f"{len(plan.items)} pins, set-up {plan.checksum:04X}"
            )
        return lines

    def close(self) -> None:
        """Free the simulated boards' names."""
        if self.sim_panel is not None:
            self.sim_panel.unregister()


def assemble_live(
    loaded: LoadedPanel,
    urls: Mapping[str, str],
    *,
    on_event: OnEvent | None = None,
    on_snapshot: OnSnapshot | None = None,
    on_switches: OnSwitches | None = None,
    frame_log: FrameLog | None = None,
    as_show: bool = False,
    clock: PacedClock | None = None,
) -> Assembly:
    """An engine on real time.

    Args:
        loaded: the panel.
        urls: port of each board; ``simboard://NAME`` simulates the board NAME of this panel.
        on_event: called with each event, in the engine's thread.
        on_snapshot: called with each snapshot, in the engine's thread.
        on_switches: called with time and switches when any has moved, in the engine's thread.
        frame_log: takes a board's last frames when its link fails.
        as_show: with simulated boards alone parts can be broken; with a feed that is built in too
            the run's time can be held and sped up.
        clock: of such a run.

    Raises:
        SetupRefused: the panel's wiring does not fit into a board's set-up.
    """
    as_show = as_show and all(is_in_process(url) for url in urls.values())
    paced = None
    if as_show and isinstance(loaded.feed, BUILT_IN):
        paced = clock if clock is not None else PacedClock(ahead_s=AHEAD_S)
    run_clock: Clock = paced if paced is not None else LiveClock()
    waiter = Waiter(run_clock) if paced is not None else LiveWaiter(run_clock)
    sim_panel, sessions = _connect(loaded, urls, run_clock, waiter)
    feed, show = feed_of(loaded, waiter.wake), None
    if as_show:
        flight = feed.source if isinstance(feed, TrustedFeed) else None
        feed = BreakableFeed(feed, values_of(loaded.aircraft))
        phased = flight if isinstance(flight, DemoFlight | FlightModelFeed) else None
        show = Show(feed, None if paced is None else Pace(paced, phased))
    engine = Engine(
        loaded,
        clock=run_clock,
        waiter=waiter,
        feed=feed,
        sessions=sessions,
        sim_panel=sim_panel,
        on_event=on_event,
        on_snapshot=on_snapshot,
        on_switches=on_switches,
        frame_log=frame_log,
        show=show,
    )
    assembly = Assembly(engine, sim_panel, False, sessions, run_clock, show)
    if paced is not None:
        assembly.again = lambda: assemble_live(
            loaded,
            urls,
            on_event=on_event,
            on_snapshot=on_snapshot,
            on_switches=on_switches,
            frame_log=frame_log,
            as_show=True,
            clock=paced.another(),
        )
    return assembly


def assemble_demo(
    loaded: LoadedPanel,
    *,
    flight_model: bool = False,
    speed: float = 1.0,
    clock: Clock | None = None,
    stop_when_finished: bool = False,
    on_event: OnEvent | None = None,
    on_snapshot: OnSnapshot | None = None,
) -> Assembly:
    """An engine that flies the demonstration flight with simulated boards and a pilot.

    Args:
        loaded: the panel.
        flight_model: fly the flight model instead of the script.
        speed: times real time.
        clock: instead of one at ``speed``; its time must stand still while the program computes.
        stop_when_finished: end with the flight.
        on_event: called with each event, in the engine's thread.
        on_snapshot: called with each snapshot, in the engine's thread.

    Raises:
        SetupRefused: the panel's wiring does not fit into a board's set-up.
        UsageError: the flight model's library is not installed.
    """
    clock = clock if clock is not None else PacedClock(speed, ahead_s=AHEAD_S)
    waiter = Waiter(clock)
    flight: DemoFlight | FlightModelFeed
    if flight_model:
        flight = FlightModelFeed(loaded.aircraft, model_of(loaded))
    else:
        flight = flight_of(loaded.aircraft)
    urls = {name: IN_PROCESS_SCHEME + name for name in loaded.panel.boards}
    sim_panel, sessions = _connect(loaded, urls, clock, waiter)
    pilot: Pilot | None = None
    if sim_panel is not None:
        fitted = tuple(sim_panel.choices)
        if isinstance(flight, FlightModelFeed):
            pilot = PhasePilot(flight, sim_panel, fitted)
        else:
            pilot = DemoPilot(flight, sim_panel, fitted)
    feed: Feed = flight
    show = None
    if isinstance(clock, PacedClock):
        feed = BreakableFeed(flight, values_of(loaded.aircraft))
        show = Show(feed, Pace(clock, flight))
    engine = Engine(
        loaded,
        clock=clock,
        waiter=waiter,
        feed=feed,
        sessions=sessions,
        sim_panel=sim_panel,
        pilot=pilot,
        stop_when_finished=stop_when_finished,
        on_event=on_event,
        on_snapshot=on_snapshot,
        show=show,
    )
    assembly = Assembly(engine, sim_panel, True, sessions, clock, show)
    if isinstance(clock, PacedClock):
        assembly.again = lambda: assemble_demo(
            loaded,
            flight_model=flight_model,
            clock=clock.another(),
            stop_when_finished=stop_when_finished,
            on_event=on_event,
            on_snapshot=on_snapshot,
        )
    return assembly


def _connect(
    loaded: LoadedPanel, urls: Mapping[str, str], clock: Clock, waiter: Waiter
) -> tuple[SimPanel | None, list[BoardSession]]:
    """A session for each board, and the simulated panel when a board is simulated here."""
    opener = PortOpener(waiter.wake)
    panel = loaded.panel
    sessions = [
        BoardSession(SetupPlan.of(panel, name), urls[name], opener) for name in panel.boards
    ]
    if not any(is_in_process(url) for url in urls.values()):
        return None, sessions
    sim_panel = SimPanel(panel, now_s=clock.now(), declared=switches_of(loaded.aircraft))
    sim_panel.register(clock)
    return sim_panel, sessions
