"""What a feed is: where aircraft state comes from and where commands go."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from panelbridge.signals import AircraftState, Commands


@dataclass(frozen=True, slots=True)
class FeedReading:
    """What a feed says at one instant.

    Attributes:
        aircraft: the aircraft's state.
        fresh: the state can be trusted.
        time_s: when it was so, seconds on the run's clock.
        phase: phase of the flight in words; empty when the feed does not know it.
        finished: nothing more will come.
    """

    aircraft: AircraftState = field(default_factory=AircraftState)
    fresh: bool = False
    time_s: float = 0.0
    phase: str = ""
    finished: bool = False


class Feed(Protocol):
    """A source of aircraft state. Polled by the engine's one thread; never blocks."""

    name: str
    """For screens."""

    def read(self, now_s: float) -> FeedReading:
        """The aircraft at ``now_s``, seconds on the run's clock."""
        ...

    def send(self, now_s: float, commands: Commands) -> None:
        """Take the panel's commands; called when they have changed."""
        ...

    def restart(self, now_s: float) -> None:
        """Begin anew, for feeds that have a beginning; others ignore it."""
        ...
