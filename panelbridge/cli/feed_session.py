"""A feed without a panel: what ``listen`` and ``send`` stand on."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event

from panelbridge.cli.terminal import stopped_by_signals
from panelbridge.clock import LiveClock
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import load_feed, load_panel
from panelbridge.config.value_names import aircraft_naming
from panelbridge.engine.waiter import LiveWaiter
from panelbridge.errors import UsageError
from panelbridge.feeds.link.link_feed import LinkFeed
from panelbridge.feeds.link.make import make_link
from panelbridge.feeds.transports.make import make_transport
from panelbridge.logic.aircraft import AircraftParameters


def load_link(
    path: Path, panel: Path | None, names: Callable[[LinkFeedFile], list[str]]
) -> tuple[LinkFeedFile, AircraftParameters]:
    """A feed file with 'source: link', and the aircraft that its names belong to.

    Args:
        path: the feed file.
        panel: a panel whose aircraft it must fit; None = any aircraft that has the names.
        names: what else the aircraft must have.

    Raises:
        PanelbridgeError: an error in a file, or another kind of feed.
    """
    if panel is not None:
        loaded = load_panel(panel, path)
        file, aircraft = loaded.feed, loaded.aircraft
    else:
        file, aircraft = load_feed(path), None
    if not isinstance(file, LinkFeedFile):
        raise UsageError(
            "this feed comes from no simulator: nothing can be received or sent",
            where=str(path),
            hint="name a feed file with 'source: link'",
        )
    return file, aircraft or aircraft_naming([*file.values, *names(file)])


class FeedSession:
    """A link that is open, with a clock and a waiter of its own.

    Args:
        link: the link.
        clock: the time.
        waiter: how it is waited for.
        stop: set to end.
    """

    def __init__(self, link: LinkFeed, clock: LiveClock, waiter: LiveWaiter, stop: Event) -> None:
        self.link, self.clock = link, clock
        self._waiter, self._stop = waiter, stop

    def turns(self, until_s: float) -> Iterator[float]:
        """Poll until a time or until the run is stopped; the time of each turn."""
        while not self._stop.is_set():
            now_s = self.clock.now()
            self.link.poll(now_s)
            yield now_s
            if now_s >= until_s:
                return
            self._waiter.wait(min(now_s + 0.05, until_s), self.link.filenos())


@contextmanager
def feed_session(
    path: Path, file: LinkFeedFile, aircraft: AircraftParameters
) -> Iterator[FeedSession]:
    """Open a link, and close it at the end. Raises: FeedError, when it can never work."""
    clock, stop = LiveClock(), Event()
    waiter = LiveWaiter(clock)

    def end() -> None:
        stop.set()
        waiter.wake()

    link = make_link(
        file,
        aircraft,
        lambda keys: make_transport(keys, waiter.wake, path.parent),
        needs_agreement=False,
    )
    try:
        with stopped_by_signals(end):
            link.open(clock.now())
            yield FeedSession(link, clock, waiter, stop)
    finally:
        link.close(clock.now())
        waiter.close()
