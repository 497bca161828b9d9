"""The events of a feed: its data is lost, its data is back."""

from __future__ import annotations

from panelbridge.signals import Event, Level

FEED_LOST, FEED_FOUND = "feed_lost", "feed_found"
FEED_EVENTS = (FEED_LOST, FEED_FOUND)
"""Events about the feed; their subject is the feed's name."""


def feed_event(now_s: float, feed_name: str, *, fresh: bool) -> Event:
    """The event when data starts or stops to come from a feed.

    Args:
        now_s: when, s.
        feed_name: the feed, for screens.
        fresh: its data can be trusted.
    """
    if fresh:
        text = f"aircraft data comes from: {feed_name}"
        return Event(now_s, FEED_FOUND, Level.INFO, text, feed_name)
    text = f"no aircraft data from: {feed_name}; all of it counts as unknown"
    return Event(now_s, FEED_LOST, Level.FAULT, text, feed_name)
