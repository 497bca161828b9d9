"""A feed whose values can be lost or held on purpose, on their way to the logic."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from panelbridge.feeds.feed import Feed, FeedAround, FeedReading
from panelbridge.logic.aircraft_values import AircraftValue, put_values
from panelbridge.signals import AircraftState, Value


class BreakableFeed(FeedAround):
    """Another feed; a value that is mended is what it would have been.

    Args:
        feed: where the data comes from.
        specs: the aircraft's values, by name.

    Attributes:
        is_lost: no data comes: all of it is unknown.
    """

    def __init__(self, feed: Feed, specs: Mapping[str, AircraftValue]) -> None:
        super().__init__(feed)
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
