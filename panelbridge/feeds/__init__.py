"""Aircraft data in, commands out."""

from panelbridge.feeds.demo_flight import DemoFlight, DemoPilot
from panelbridge.feeds.feed import Feed, FeedHealth, FeedReading, TargetHealth, TrustedFeed
from panelbridge.feeds.feed_events import FEED_EVENTS, feed_event
from panelbridge.feeds.fixed_feed import FixedFeed, parked
from panelbridge.feeds.own_feed import OwnFeedFile

__all__ = [
    "FEED_EVENTS",
    "DemoFlight",
    "DemoPilot",
    "Feed",
    "FeedHealth",
    "FeedReading",
    "FixedFeed",
]
__all__ += ["OwnFeedFile", "TargetHealth", "TrustedFeed", "feed_event", "parked"]
