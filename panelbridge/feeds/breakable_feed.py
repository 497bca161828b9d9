"""A feed whose values can be lost or held on purpose, on their way to the logic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from panelbridge.feeds.feed import Feed, FeedHealth, FeedReading
from panelbridge.logic.aircraft_values import AircraftValue, put_values
from panelbridge.signals import AircraftState, Commands, Value


class BreakableFeed(Feed):
    """Another feed; a value that is mended is what it would have been.

    Args:
        feed: where the data comes from.
        specs: the aircraft's values, by name.

    Attributes:
        is_lost: no data comes: all of it is unknown.
    """

    def __init__(self, feed: Feed, specs: Mapping[str, AircraftValue]) -> None:
        self.name = feed.name
        self._feed = feed
        self._specs = specs
        self.is_lost = False
        self._held: AircraftState | None = None
        self._broken: dict[str, Value] = {}
        self._seen = AircraftState()

    def hold_all(self, *, is_held: bool) -> None:
        """Hold every value as it is seen now, or none of them any more."""
        self._held = self._seen if is_held else None

    def lose(self, name: str) -> None:
        """Make a value unknown."""
        self._broken[name] = None

    def hold(self, name: str) -> None:
        """Hold a value as it is seen now."""
        self._broken[name] = self._specs[name].read(self._seen)

    def mend(self, name: str) -> None:
        """Find a value again."""
        self._broken.pop(name, None)

    def read(self, now_s: float) -> FeedReading:
        """The feed's reading with what is broken."""
        reading = self._feed.read(now_s)
        if self.is_lost:
            reading = replace(reading, aircraft=AircraftState(), fresh=False)
        elif self._held is not None:
            reading = replace(reading, aircraft=self._held)
        if self._broken and reading.fresh:
            seen = put_values(self._specs, reading.aircraft, self._broken)
            reading = replace(reading, aircraft=seen)
        self._seen = reading.aircraft
        return reading

    def send(self, now_s: float, commands: Commands) -> None:
        """Pass the panel's commands on."""
        self._feed.send(now_s, commands)

    def restart(self, now_s: float) -> None:
        """Restart the feed."""
        self._feed.restart(now_s)

    def open(self, now_s: float) -> None:
        """Open the feed."""
        self._feed.open(now_s)

    def poll(self, now_s: float) -> int:
        """Poll the feed."""
        return self._feed.poll(now_s)

    def filenos(self) -> Sequence[int]:
        """The feed's."""
        return self._feed.filenos()

    def health(self) -> FeedHealth:
        """The feed's."""
        return self._feed.health()

    def close(self, now_s: float) -> None:
        """Close the feed."""
        self._feed.close(now_s)
