"""Stale data counts as unknown (DEVELOPERS.md, decision 11)."""

from __future__ import annotations

from dataclasses import replace

from panelbridge.feeds.feed import Feed, FeedReading
from panelbridge.signals import AircraftState, Commands

_UNKNOWN = AircraftState()


class TrustedFeed:
    """Another feed's data, unknown when it is stale.

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
        return replace(reading, aircraft=_UNKNOWN, fresh=False)

    def send(self, now_s: float, commands: Commands) -> None:
        """Pass the panel's commands on."""
        self._feed.send(now_s, commands)

    def restart(self, now_s: float) -> None:
        """Restart the feed."""
        self._feed.restart(now_s)
