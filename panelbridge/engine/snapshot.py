"""What the engine publishes: one frozen object that any thread may read."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from panelbridge.engine.show_state import NO_SHOW, ShowState
from panelbridge.feeds.feed import NO_HEALTH, FeedHealth
from panelbridge.link.session import BoardHealth
from panelbridge.logic.kit.world import World
from panelbridge.signals import (
    AircraftState,
    Commands,
    Event,
    Explanation,
    LogicView,
    Outputs,
    Reason,
    SwitchState,
)


class Snapshot(Struct, frozen=True):
    """The whole panel at one instant.

    Attributes:
        time_s: the run's clock.
        aircraft_name: of the aircraft file.
        panel_name: of the panel file.
        switches: as the boards report them.
        aircraft: as the feed reports it.
        outputs: as sent to the boards; what is broken on purpose is dark or silent.
        commands: as sent to the feed.
        logic: state of the logic.
        world: everything that the logic knows; signals are read from it.
        boards: link of each board, in the order of the panel file.
        events: the last ones, oldest first, at most ``KEPT_EVENTS``.
        event_count: number of events since the start, so that a reader finds the new ones.
        feed_name: where the aircraft's state comes from.
        feed_fresh: the feed's data can be trusted.
        feed: how its connections are, and what was refused.
        phase: phase of the flight; empty when the feed does not report it.
        finished: the run has come to its end (a demonstration flight has landed).
        positions: where each switch of a simulated panel stands; empty with real boards.
        reasons: reasons of each output that the engine was asked to explain.
        show: how its time passes, and what is broken on purpose.
        explanations: by subject, of what screens ask for now (``logic/explaining.py``).
    """

    time_s: float = 0.0
    aircraft_name: str = ""
    panel_name: str = ""
    switches: SwitchState = field(default_factory=SwitchState)
    aircraft: AircraftState = AircraftState()
    outputs: Outputs = Outputs()
    commands: Commands = Commands()
    logic: LogicView = LogicView()
    world: World = field(default_factory=lambda: World({}, 0.0))
    boards: tuple[BoardHealth, ...] = ()
    events: tuple[Event, ...] = ()
    event_count: int = 0
    feed_name: str = ""
    feed_fresh: bool = False
    feed: FeedHealth = NO_HEALTH
    phase: str = ""
    finished: bool = False
    positions: Mapping[str, str | float] = field(default_factory=dict)
    reasons: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)
    show: ShowState = NO_SHOW
    explanations: Mapping[str, Explanation] = field(default_factory=dict)


KEPT_EVENTS = 200
