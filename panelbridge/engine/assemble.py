"""Puts an engine together: from a loaded panel and ports to something that runs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from panelbridge.clock import Clock, LiveClock, PacedClock
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_file import DemoFlightFeed
from panelbridge.config.load import LoadedPanel
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.loop import Engine
from panelbridge.engine.waiter import ClockWaiter, LiveWaiter, Waiter
from panelbridge.feeds.base import Feed
from panelbridge.feeds.demo_flight import DemoFlight, DemoPilot
from panelbridge.feeds.fixed import FixedFeed, parked
from panelbridge.feeds.trusted import TrustedFeed
from panelbridge.link.opener import PortOpener
from panelbridge.link.port import IN_PROCESS_SCHEME, is_in_process
from panelbridge.link.session import BoardSession
from panelbridge.link.setup_plan import SetupPlan
from panelbridge.signals import Event
from panelbridge.simboard.sim_panel import SimPanel

OnEvent = Callable[[Event], None]


@dataclass(slots=True)
class Assembly:
    """An engine with what belongs to it.

    Attributes:
        engine: ready to run.
        sim_panel: the simulated panel; None with real boards.
        is_demo: the demonstration flight is flown, with its pilot.
        urls: port of each board.
        plans: pin set-up of each board.
    """

    engine: Engine
    sim_panel: SimPanel | None
    is_demo: bool
    urls: Mapping[str, str]
    plans: Mapping[str, SetupPlan]

    def heading(self, version: str, path: str) -> list[str]:
        """The first lines of a run: version, file, and each board with its set-up's checksum."""
        lines = [f"panelbridge {version}, panel {path}"]
        for name, plan in self.plans.items():
            lines.append(
                f"board {name}: {plan.entry.board} on {self.urls[name]}, "
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
    frame_log: FrameLog | None = None,
) -> Assembly:
    """An engine on real time.

    Args:
        loaded: the panel.
        urls: port of each board; ``simboard://NAME`` simulates the board NAME of this panel.
        on_event: called with each event, in the engine's thread.
        frame_log: takes a board's last frames when its link fails.

    Raises:
        SetupRefused: the panel's wiring does not fit into a board's set-up.
    """
    clock = LiveClock()
    simulated = any(is_in_process(url) for url in urls.values())
    sim_panel = SimPanel(loaded.panel, now_s=clock.now()) if simulated else None
    return _assemble(
        loaded,
        urls,
        clock=clock,
        waiter=LiveWaiter(clock),
        feed=feed_of(loaded),
        sim_panel=sim_panel,
        on_event=on_event,
        frame_log=frame_log,
    )


def assemble_demo(
    loaded: LoadedPanel,
    *,
    speed: float = 1.0,
    clock: Clock | None = None,
    stop_when_finished: bool = False,
    on_event: OnEvent | None = None,
) -> Assembly:
    """An engine that flies the demonstration flight with simulated boards and a pilot.

    Args:
        loaded: the panel.
        speed: times real time.
        clock: instead of one at ``speed``; it must move only while somebody sleeps.
        stop_when_finished: end with the flight.
        on_event: called with each event, in the engine's thread.

    Raises:
        SetupRefused: the panel's wiring does not fit into a board's set-up.
    """
    clock = clock if clock is not None else PacedClock(speed)
    flight = _flight_of(loaded.aircraft)
    sim_panel = SimPanel(loaded.panel, now_s=clock.now())
    return _assemble(
        loaded,
        {name: IN_PROCESS_SCHEME + name for name in loaded.panel.boards},
        clock=clock,
        waiter=ClockWaiter(clock),
        feed=flight,
        sim_panel=sim_panel,
        pilot=DemoPilot(flight, sim_panel, tuple(sim_panel.choices)),
        stop_when_finished=stop_when_finished,
        on_event=on_event,
    )


def feed_of(loaded: LoadedPanel) -> Feed:
    """The feed that the panel's feed file describes; a parked aircraft when there is none."""
    aircraft, file = loaded.aircraft, loaded.feed
    if file is None:
        return FixedFeed(parked(len(aircraft.legs), aircraft.engines), "parked aircraft")
    feed: Feed
    if isinstance(file, DemoFlightFeed):
        feed = _flight_of(aircraft, repeat=file.repeat)
    else:
        feed = FixedFeed(file.values.state(aircraft), file.name)
    return TrustedFeed(feed, file.stale_after_s)


def _flight_of(aircraft: AircraftFile, *, repeat: bool = False) -> DemoFlight:
    legs = [leg.name for leg in aircraft.legs]
    wheels = [wheel.side for wheel in aircraft.brakes.wheels] if aircraft.brakes else []
    return DemoFlight(legs, aircraft.engines, wheels=wheels, repeat=repeat)


def _assemble(
    loaded: LoadedPanel,
    urls: Mapping[str, str],
    *,
    clock: Clock,
    waiter: Waiter,
    feed: Feed,
    sim_panel: SimPanel | None,
    on_event: OnEvent | None,
    frame_log: FrameLog | None = None,
    pilot: DemoPilot | None = None,
    stop_when_finished: bool = False,
) -> Assembly:
    plans = {name: SetupPlan.of(loaded.panel, name) for name in loaded.panel.boards}
    if sim_panel is not None:
        sim_panel.register(clock)
    opener = PortOpener(waiter.wake)
    sessions = [
        BoardSession(name, entry, urls[name], plans[name], opener=opener)
        for name, entry in loaded.panel.boards.items()
    ]
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
        frame_log=frame_log,
    )
    return Assembly(engine, sim_panel, pilot is not None, urls, plans)
