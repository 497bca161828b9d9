"""Moments of real runs of shipped panels, for pictures of the screen: nothing in them is made up.

The whole engine flies the demonstration flight in virtual time, with simulated boards and their
pilot; what goes wrong is done to a cable, to the feed, or to a part of the model. Each flight is
flown once a test process. ``python -m tests.dashboard.real_runs MOMENT`` shows one.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache

from msgspec.structs import replace

from panelbridge.cli.screen import content_of, fitted_switches
from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.history import History, ShownMoment
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.loop import Engine
from panelbridge.engine.snapshot import Snapshot
from panelbridge.feeds.feed import FeedReading, TrustedFeed
from panelbridge.signals import AircraftState
from panelbridge.simboard import registry
from panelbridge.simboard.sim_panel import SimPanel

NEVER_HZ = 1e-4
DEMO, TWO_BOARDS = "demo_panel", "two_boards"
FREIGHTER, TAIL_WHEEL, FIRST = "four_engine_freighter_panel", "tail_wheel_panel", "first_lamp"
BAD_CABLE = {"flip_byte": 0.02}
"""About half of the frames of this line are damaged."""


class _Silenced(TrustedFeed):
    """A feed whose sender can be stopped, and whose aircraft can lose its electrical power."""

    sends = True
    has_power = True

    def read(self, now_s: float) -> FeedReading:
        if not self.sends:
            return FeedReading(AircraftState(), fresh=False, time_s=now_s)
        reading = super().read(now_s)
        if self.has_power:
            return reading
        return replace(reading, aircraft=replace(reading.aircraft, bus_powered=False))


HISTORIES: dict[int, tuple[Snapshot, Sequence[ShownMoment]]] = {}
"""What the screen remembers at a snapshot, by the snapshot's identity."""


@dataclass
class Flight:
    """A run in virtual time, and a hand on what can go wrong."""

    engine: Engine
    clock: VirtualClock
    sim_panel: SimPanel
    feed: _Silenced
    history: History = field(default_factory=History)

    def until(self, time_s: float) -> Snapshot:
        """Fly on to a time of the flight, s; the screen's history looks on."""
        snapshot = self.engine.snapshot()
        while self.clock.now() < time_s:
            self.engine.turn()
            if (new := self.engine.snapshot()) is not snapshot:
                snapshot = new
                self.history.take(snapshot)
        HISTORIES[id(snapshot)] = (snapshot, self.history.samples)
        return snapshot

    def break_leg(self, leg: str, how: str | None) -> None:
        """Break a leg of the model, or mend it."""
        self.engine._logic.set_fault(self.clock.now(), leg, how)

    def unplug(self, board: str) -> None:
        """Pull a board's cable."""
        _board(board).cable.unplug(self.clock.now())

    def replug(self, board: str) -> None:
        """Put it back."""
        _board(board).cable.replug(self.clock.now())

    def damage(self, board: str, rates: dict[str, float]) -> None:
        """Damage a share of the bytes of its line from now on."""
        for name, rate in rates.items():
            _board(board).cable.faults.order(name, rate)


def _board(name: str) -> registry.RegisteredBoard:
    found = registry.find(name)
    assert found is not None
    return found


@contextmanager
def flight(panel: str = DEMO) -> Iterator[Flight]:
    """The demonstration flight on a shipped panel."""
    clock = VirtualClock()
    assembly = assemble_demo(loaded_panel(panel), clock=clock)
    assert assembly.sim_panel is not None
    feed = _Silenced(assembly.engine._feed, stale_after_s=1.0)
    assembly.engine._feed = feed
    assembly.engine.open()
    try:
        yield Flight(assembly.engine, clock, assembly.sim_panel, feed)
    finally:
        assembly.engine.close()
        assembly.close()


@cache
def loaded_panel(name: str) -> LoadedPanel:
    """A shipped panel."""
    return load_panel(shipped_config(f"panels/{name}.yaml"))


Moments = dict[str, Snapshot]


@cache
def whole_flight() -> Moments:
    """What a good flight shows, and at its end what a cable and a simulator can do."""
    with flight() as run:
        found = {"lamp_test": run.until(2.0)}
        found["horn"] = run.until(108.5)
        found["horn_silenced"] = run.until(111.5)
        found["up"] = run.until(119.0)
        found["transit"] = run.until(126.0)
        found["three_greens"] = run.until(140.0)
        run.feed.sends = False
        found["data_lost"] = run.until(143.0)
        run.feed.sends = True
        run.until(145.0)
        run.damage("gear_panel", BAD_CABLE)
        found["bad_cable"] = run.until(158.0)
        run.damage("gear_panel", dict.fromkeys(BAD_CABLE, 0.0))
        run.until(165.0)
        run.unplug("gear_panel")
        found["board_lost"] = run.until(167.0)
    return found


@cache
def hung_leg() -> Moments:
    """The left leg hangs in the air, and the levers are closed with the gear not down."""
    with flight() as run:
        run.until(123.0)
        run.break_leg("left", "hung")
        found = {"hung": run.until(126.0), "unsafe": run.until(146.0)}
        run.feed.sends = False
        found["unsafe_data_lost"] = run.until(149.0)
        run.damage("gear_panel", BAD_CABLE)
        found["worst"] = run.until(152.0)
    return found


@cache
def cold_and_dark() -> Moments:
    """Parked, without electrical power."""
    with flight() as run:
        run.feed.has_power = False
        return {"cold_and_dark": run.until(0.8)}


@cache
def two_boards() -> Moments:
    """Two boards, one of them lost."""
    with flight(TWO_BOARDS) as run:
        found = {"two_boards": run.until(125.0)}
        run.unplug("pedestal")
        found["pedestal_lost"] = run.until(128.0)
    return found


@cache
def five_legs() -> Moments:
    """Five legs on two boards, the gear on its way."""
    with flight(FREIGHTER) as run:
        return {"five_legs": run.until(132.0)}


@cache
def tail_wheel() -> Moments:
    """Two legs and a tail wheel that stays down."""
    with flight(TAIL_WHEEL) as run:
        return {"tail_wheel": run.until(125.0)}


@cache
def first_lamps() -> Moments:
    """A panel with three green lamps and no red one."""
    with flight(FIRST) as run:
        return {"first_lamps": run.until(126.0)}


FLIGHTS: dict[Callable[[], Moments], tuple[str, tuple[str, ...]]] = {
    whole_flight: (
        DEMO,
        (
            *("lamp_test", "horn", "horn_silenced", "up", "transit", "three_greens"),
            *("data_lost", "bad_cable", "board_lost"),
        ),
    ),
    hung_leg: (DEMO, ("hung", "unsafe", "unsafe_data_lost", "worst")),
    cold_and_dark: (DEMO, ("cold_and_dark",)),
    two_boards: (TWO_BOARDS, ("two_boards", "pedestal_lost")),
    five_legs: (FREIGHTER, ("five_legs",)),
    tail_wheel: (TAIL_WHEEL, ("tail_wheel",)),
    first_lamps: (FIRST, ("first_lamps",)),
}
MOMENTS = tuple(name for _, names in FLIGHTS.values() for name in names)


def moment(name: str) -> tuple[LoadedPanel, Snapshot]:
    """The panel of a moment, and its snapshot."""
    for fly, (panel, names) in FLIGHTS.items():
        if name in names:
            return loaded_panel(panel), fly()[name]
    raise KeyError(name)


class StillSource:
    """Always the same snapshot."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot

    def snapshot(self) -> Snapshot:
        return self._snapshot


class StillControls:
    """Hands that stand where the snapshot has them."""

    fly_again = None

    def __init__(self, snapshot: Snapshot) -> None:
        self._positions = snapshot.positions

    def position(self, name: str) -> str | float:
        return self._positions.get(name, "")

    def move(self, name: str, position: str | float) -> None:
        raise AssertionError(f"{name} moved to {position}")


def app_at(
    name: str, *, page: Section = Section.PANEL, refresh_hz: float = NEVER_HZ
) -> DashboardApp:
    """The screen at a moment."""
    loaded, snapshot = moment(name)
    app = DashboardApp(
        StillSource(snapshot),
        StillControls(snapshot),
        content_of(loaded),
        switches=fitted_switches(loaded),
        page=page,
        refresh_hz=refresh_hz,
    )
    app._history.remember(HISTORIES[id(snapshot)][1])
    return app


def main() -> None:
    """Show a moment."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("moment", choices=MOMENTS)
    app_at(parser.parse_args().moment, refresh_hz=1.0).run()


if __name__ == "__main__":
    main()
