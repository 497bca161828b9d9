"""The file of a feed of one's own, which makes the feed.

A package offers it by an entry point of the group ``panelbridge.feeds``; the entry point's name is
the word behind ``source:``. DEVELOPERS.md shows one.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable

from panelbridge.config.feed_base import FeedBase
from panelbridge.feeds.feed import Feed
from panelbridge.logic.aircraft import AircraftParameters


class OwnFeedFile(FeedBase):
    """A class derives from it and adds its keys; its file is checked like ours."""

    source: str
    """Where the data comes from."""

    @abstractmethod
    def make_feed(self, aircraft: AircraftParameters, wake: Callable[[], None]) -> Feed:
        """The feed that the file describes. Data older than ``stale_after_s`` counts as unknown.

        Args:
            aircraft: names and numbers of legs, engines and wheels.
            wake: ends the engine's wait when data has come; may be called in another thread.
        """
