"""Data that is too old is not trusted: it counts as unknown (DEVELOPERS.md, decision 11)."""

from __future__ import annotations

from dataclasses import replace

from panelbridge.feeds.base import Feed, FeedReading
from panelbridge.signals import AircraftState, Commands

_UNKNOWN = AircraftState()


class TrustedFeed:
    """A feed whose data counts only while it is young.

    Args:
        feed: where the data comes from.
        stale_after_s: older data is unknown, s.
    """

    def __init__(self, feed: Feed, stale_after_s: float) -> None:
        self.name = feed.name
        self._feed = feed
        self._stale_after_s = stale_after_s

    def read(self, now_s: float) -> FeedReading:
        """What the feed says; all unknown when it is not fresh, or too old."""
        reading = self._feed.read(now_s)
        if reading.fresh and now_s - reading.time_s <= self._stale_after_s:
            return reading
        return replace(reading, aircraft=_UNKNOWN, fresh=False)

    def send(self, now_s: float, commands: Commands) -> None:
        """Pass the panel's commands on."""
        self._feed.send(now_s, commands)

    def restart(self, now_s: float) -> None:
        """Begin the feed anew."""
        self._feed.restart(now_s)
