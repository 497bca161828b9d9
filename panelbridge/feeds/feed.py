"""The interface of a feed: aircraft state in, commands out; stale state counts as unknown."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Protocol

from panelbridge.signals import AircraftState, Commands


@dataclass(frozen=True, slots=True)
class FeedReading:
    """What a feed reports at one instant.

    Attributes:
        aircraft: the aircraft's state.
        fresh: the state can be trusted.
        time_s: when the state was true, seconds on the run's clock.
        phase: phase of the flight; empty when the feed does not know it.
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
        """Start again, if the feed has a start."""
        ...


class Pilot(Protocol):
    """Moves the switches of a simulated panel while a feed flies; polled by the engine's thread."""

    def poll(self, now_s: float) -> None:
        """Make the movements that are due at ``now_s``."""
        ...

    def restart(self) -> None:
        """Start again with the first movement."""
        ...


class TrustedFeed:
    """Another feed's data, unknown when it is stale (DEVELOPERS.md, decision 11).

    Args:
        feed: where the data comes from.
        stale_after_s: age above which data is unknown, s.
    """

    def __init__(self, feed: Feed, stale_after_s: float) -> None:
        self.name = feed.name
        self._feed = feed
        self._stale_after_s = stale_after_s

    def read(self, now_s: float) -> FeedReading:
        """The feed's reading; all unknown when it is not fresh or stale."""
        reading = self._feed.read(now_s)
        if reading.fresh and now_s - reading.time_s <= self._stale_after_s:
            return reading
        return replace(reading, aircraft=AircraftState(), fresh=False)

    def send(self, now_s: float, commands: Commands) -> None:
        """Pass the panel's commands on."""
        self._feed.send(now_s, commands)

    def restart(self, now_s: float) -> None:
        """Restart the feed."""
        self._feed.restart(now_s)
