"""The events of a feed: its data and its connections come and go, something of it was refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.feeds.feed import FeedHealth, FeedReading
from panelbridge.feeds.feed_events import feed_event
from panelbridge.signals import Event, Level

FEED_REFUSED = "feed_refused"
REACHABLE = "feed_reachable_by_others"
COMMANDS_REFUSED = "feed_commands_refused"
CONNECTION_LOST, CONNECTION_FOUND = "feed_connection_lost", "feed_connection_found"
GRACE_S = 1.0
"""A connection that is made within this time was never lost, s."""
MOST_REASONS = 20
"""No more reasons than these have an event of their own; the counts have all."""


class _Connection(Struct):
    """What was said of a connection.

    Attributes:
        lost_s: since when it is not open, s; None while it is.
        said: why it is not open, as was said; empty when nothing was.
    """

    lost_s: float | None = None
    said: str = ""


class FeedWatch:
    """Compares what a feed reports with what it reported before.

    Args:
        name: the feed's, for people.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._was_fresh: bool | None = None
        self._reasons: dict[str, set[str]] = {}
        self._has_warned = False
        self._connections: dict[str, _Connection] = {}

    def fresh(
        self, now_s: float, reading: FeedReading, health: Callable[[], FeedHealth]
    ) -> Event | None:
        """The event when data starts or stops to come; ``health`` is asked only then."""
        if reading.fresh is self._was_fresh:
            return None
        self._was_fresh = reading.fresh
        event = feed_event(now_s, self._name, fresh=reading.fresh)
        way = health().way
        if way:
            event = replace(event, text=f"{event.text} ({way})")
        return event

    def changes(self, now_s: float, health: FeedHealth) -> Iterator[Event]:
        """The events of its connections, and of what was refused for the first time."""
        if not self._has_warned:
            self._has_warned = True
            for text in health.warnings:
                yield Event(now_s, REACHABLE, Level.CAUTION, f"{self._name}: {text}", self._name)
        if health.way:
            yield from self._connection(now_s, self._name, health.way, health.is_open, health.text)
        yield from self._refused(now_s, self._name, health.refused, health.last_refused)
        for target in health.targets:
            name = f"commands to {target.name}"
            if target.way != health.way:
                yield from self._connection(now_s, name, target.way, target.is_open, target.text)
            yield from self._refused(now_s, name, target.refused, target.last_refused)

    def _connection(
        self, now_s: float, name: str, way: str, is_open: bool, text: str
    ) -> Iterator[Event]:
        before = self._connections.setdefault(name, _Connection())
        if is_open:
            if before.said:
                what = f"{name}: {way} is open"
                yield Event(now_s, CONNECTION_FOUND, Level.INFO, what, self._name)
            self._connections[name] = _Connection()
            return
        if before.lost_s is None:
            before.lost_s = now_s
        if now_s - before.lost_s >= GRACE_S and text != before.said:
            before.said = text
            what = f"{name}: {way}: {text}"
            yield Event(now_s, CONNECTION_LOST, Level.FAULT, what, self._name)

    def _refused(
        self, now_s: float, name: str, refused: Mapping[str, int], last: str
    ) -> Iterator[Event]:
        known = self._reasons.setdefault(name, set())
        event = FEED_REFUSED if name == self._name else COMMANDS_REFUSED
        for reason in refused:
            if reason not in known and len(known) < MOST_REASONS:
                known.add(reason)
                text = last if last.startswith(reason) else reason
                what = f"{name}: refused: {text}; more of this is only counted"
                yield Event(now_s, event, Level.FAULT, what, self._name)
