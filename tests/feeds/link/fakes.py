"""A transport in memory, and links made of the text of a feed file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.load import load_aircraft, load_feed
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import FeedError
from panelbridge.feeds.link.link_feed import LinkFeed
from panelbridge.feeds.link.make import make_link
from panelbridge.feeds.transports.transport import Arrival, TransportHealth

HEAD = "kind: feed\nformat: 2\nname: Test\nsource: link\n"
IN = "receive: { over: udp, listen_port: 45139 }\n"
TWIN_JET = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))


@dataclass
class FakeTransport:
    """Gives what a test puts into it, and keeps what is sent."""

    name: str = "test"
    is_stream: bool = False
    arrivals: list[Arrival] = field(default_factory=list)
    sent: list[bytes] = field(default_factory=list)
    topics: list[str] = field(default_factory=list)
    is_open: bool = True
    takes: bool = True
    connections: int = 1
    is_closed: bool = False
    cannot_open: bool = False
    dropped: dict[str, int] = field(default_factory=dict)

    def open(self, now_s: float) -> None:
        if self.cannot_open:
            raise FeedError("another program has the port", self.name)

    def put(self, *messages: bytes | str) -> None:
        self.arrivals += [Arrival(m.encode() if isinstance(m, str) else m) for m in messages]

    def read(self, now_s: float) -> Sequence[Arrival]:
        found, self.arrivals = self.arrivals, []
        return found

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        if not self.is_open or not self.takes:
            return False
        self.sent.append(data)
        self.topics.append(topic)
        return True

    def filenos(self) -> Sequence[int]:
        return ()

    def health(self) -> TransportHealth:
        text = "open" if self.is_open else "nobody there"
        return TransportHealth(self.is_open, text, self.dropped, self.connections)

    def close(self) -> None:
        self.is_closed = True

    def take_sent(self) -> list[str]:
        found = [data.decode() for data in self.sent]
        self.sent.clear()
        return found


@dataclass
class Rig:
    """A link, and the transports under it in the order of the file: receive, then targets."""

    feed: LinkFeed
    transports: list[FakeTransport]
    wall_clock_s: float = 1_700_000_000.0

    @property
    def way_in(self) -> FakeTransport:
        return self.transports[0]

    @property
    def way_out(self) -> FakeTransport:
        return self.transports[-1]


def feed_file(folder: Path, text: str, aircraft: AircraftFile = TWIN_JET) -> LinkFeedFile:
    path = folder / "feed.yaml"
    path.write_text(HEAD + text, "utf-8")
    found = load_feed(path, aircraft)
    assert isinstance(found, LinkFeedFile)
    return found


def rig(
    folder: Path, text: str, aircraft: AircraftFile = TWIN_JET, *, needs_agreement: bool = True
) -> Rig:
    """The link that the text of a feed file describes, opened at 0 s."""
    transports: list[FakeTransport] = []

    def make(keys: object) -> FakeTransport:
        transports.append(FakeTransport(f"test {len(transports)}"))
        return transports[-1]

    made: list[Rig] = []
    feed = make_link(
        feed_file(folder, text, aircraft),
        aircraft,
        make,
        needs_agreement=needs_agreement,
        wall_clock=lambda: made[0].wall_clock_s,
    )
    made.append(Rig(feed, transports))
    return made[0]
