"""A session against a scripted peer, in virtual time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from panelbridge.clock import VirtualClock
from panelbridge.config.boards import BoardCode
from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LinkError, LinkLost
from panelbridge.link.ports import BytePort, Opening
from panelbridge.link.session import BoardSession, SetupPlan
from panelbridge.link.wire import (
    Command,
    Edge,
    Hello,
    MessageType,
    Report,
    SetupBegin,
    SetupItem,
    SetupReply,
    SetupShape,
    SetupStatus,
)
from panelbridge.link.wire.frames import FrameParser, crc16, encode_frame
from panelbridge.signals import Event

Wanted = TypeVar("Wanted")
STEP_S = 0.005


class Peer:
    """The board's side of the wire: keeps to the protocol unless a test changes that.

    It does nothing by itself: no timer runs in it, a test sends what it wants to be sent.
    """

    def __init__(self) -> None:
        self.heard: list[bytes] = []
        self.commands: list[Command] = []
        self.inbox: list[bytes] = []
        self.mute = False
        self.code: int = BoardCode.UNO
        self.protocol = 1
        self.boot_id = 7
        self.checksum_in_force = 0
        self.status: Callable[[bytes], int] = lambda message: SetupStatus.OK
        self.loses: Callable[[bytes], bool] = lambda message: False
        self.reports_by_itself = True
        self.sequence = -1
        self.session = 0
        self.contacts = 0
        self.next_edge = 0
        self.items: list[SetupItem] = []
        self._parser = FrameParser()

    def send(self, message: bytes) -> None:
        if not self.mute:
            self.inbox.append(encode_frame(message))

    def hello(self) -> None:
        hello = Hello(self.protocol, self.code, 1, 0, self.boot_id, self.checksum_in_force, 70)
        self.send(hello.pack())

    def report(self, **changes: Any) -> bytes:
        """Send a REPORT of the state now; gives its frame, to be sent again by hand."""
        self.sequence = (self.sequence + 1) % 65536
        edges = changes.get("edges", ())
        for edge in edges:
            bit = 1 << edge.contact
            self.contacts = self.contacts | bit if edge.closed else self.contacts & ~bit
        values: dict[str, Any] = {
            "session": self.session,
            "sequence": self.sequence,
            "command_sequence": self.commands[-1].sequence if self.commands else 0,
            "flags": 0,
            "bad_frames": 0,
            "first_edge": self.next_edge,
            "contacts": self.contacts,
            "analogues": (0,) * self.shape.analogues,
            **changes,
        }
        self.next_edge = (values["first_edge"] + len(edges)) % 65536
        message = Report(**values).pack(self.shape)
        self.send(message)
        return encode_frame(message)

    def edge(self, contact: int, closed: bool, **changes: Any) -> bytes:
        return self.report(edges=(Edge(contact, closed),), **changes)

    def reset(self) -> None:
        self.boot_id += 1
        self.checksum_in_force = 0
        self.session = 0
        self.items = []

    @property
    def shape(self) -> SetupShape:
        return SetupShape.of(tuple(self.items))

    def take(self, data: bytes) -> None:
        for message in self._parser.feed(data):
            self.heard.append(message)
            if not self.loses(message):
                self._answer(message)

    def kinds_heard(self) -> list[int]:
        return [message[0] for message in self.heard]

    def _answer(self, message: bytes) -> None:
        kind = message[0]
        if kind == MessageType.HELLO_REQUEST:
            self.hello()
        elif kind == MessageType.RELEASE:
            self.checksum_in_force = 0
            self.hello()
        elif kind == MessageType.COMMAND:
            self.commands.append(Command.unpack(message, self.shape))
        else:
            self._set_up(message)

    def _set_up(self, message: bytes) -> None:
        status = self.status(message)
        kind, index = message[0], 0
        if kind == MessageType.SETUP_BEGIN:
            self.session = SetupBegin.unpack(message).session
            self.items = []
            self.checksum_in_force = 0
        elif kind == MessageType.SETUP_ITEM:
            item = SetupItem.unpack(message)
            index = item.index
            if status == SetupStatus.OK and index == len(self.items):
                self.items.append(item)
        checksum = crc16(b"".join(item.body() for item in self.items))
        self.send(SetupReply(self.session, kind, index, status, checksum).pack())
        if kind == MessageType.SETUP_COMMIT and status == SetupStatus.OK:
            self.checksum_in_force = checksum
            self.sequence = -1
            self.next_edge = 0
            self.commands = []
            if self.reports_by_itself:
                self.report()


class FakePort:
    """A port whose other end is a Peer."""

    def __init__(self, peer: Peer) -> None:
        self.peer = peer
        self.closed = False
        self.broken = False

    def read(self) -> bytes:
        if self.broken and not self.peer.inbox:
            raise LinkLost("the port went away", "fake", "check the cable")
        data = b"".join(self.peer.inbox)
        self.peer.inbox.clear()
        return data

    def write(self, data: bytes) -> None:
        assert not self.closed, "written to after it was closed"
        if self.broken:
            raise LinkLost("the port went away", "fake", "check the cable")
        self.peer.take(data)

    def close(self) -> None:
        self.closed = True

    def fileno(self) -> int | None:
        return None if self.closed else 77


class FakeOpening(Opening):
    def __init__(self, result: BytePort | LinkError | None) -> None:
        self.outcome = result
        self.abandoned = False

    def result(self) -> BytePort | LinkError | None:
        return self.outcome

    def abandon(self) -> None:
        self.abandoned = True


class Bench:
    """A session, its peer and the time.

    Attributes:
        outcomes: what the next openings give, first one first; afterwards a good port.
        opened: time of each opening.
        events: everything that the session has reported.
    """

    def __init__(
        self, panel: PanelFile, *, board: str = "gear", url: str = "/dev/fake", answers: bool = True
    ) -> None:
        self.clock = VirtualClock()
        self.peer = Peer()
        self.ports: list[FakePort] = []
        self.openings: list[FakeOpening] = []
        self.outcomes: list[LinkError | None] = []
        self.opened: list[float] = []
        self.events: list[object] = []
        self.answers = answers
        self.plan = SetupPlan.of(panel, board)
        self.session = BoardSession(self.plan, url, self._open)

    def _open(self, url: str, baud: int) -> FakeOpening:
        self.opened.append(self.clock.now())
        result: BytePort | LinkError | None
        if self.outcomes:
            result = self.outcomes.pop(0)
        else:
            result = port = FakePort(self.peer)
            self.ports.append(port)
        self.openings.append(FakeOpening(result))
        return self.openings[-1]

    @property
    def port(self) -> FakePort:
        return self.ports[-1]

    @property
    def state(self) -> str:
        return self.session.health().state.value

    def turn(self) -> list[object]:
        """One poll at the present time."""
        outputs: list[object] = list(self.session.poll(self.clock.now()))
        self.events += outputs
        return outputs

    def run(self, duration_s: float, *, reports: bool = False) -> None:
        """Poll for a while; with ``reports`` the board sends its state every 100 ms."""
        end_s = self.clock.now() + duration_s
        next_report_s = self.clock.now() + 0.1
        while self.clock.now() < end_s - 1e-9:
            if reports and self.clock.now() >= next_report_s:
                self.peer.report()
                next_report_s += 0.1
            self.turn()
            self.clock.advance(STEP_S)

    def run_until(self, state: str, limit_s: float = 10.0) -> None:
        """Poll until the link stands in ``state``."""
        end_s = self.clock.now() + limit_s
        while self.state != state:
            assert self.clock.now() < end_s, f"still {self.state} after {limit_s} s"
            self.run(STEP_S)

    def go_live(self) -> None:
        """Through hello and set-up."""
        self.turn()
        self.peer.hello()
        for _ in range(60):
            self.turn()
            if self.state == "live":
                break
            self.clock.advance(STEP_S)
        assert self.state == "live"

    def received(self, kind: type[Wanted]) -> list[Wanted]:
        return [event for event in self.events if isinstance(event, kind)]

    def names(self) -> list[str]:
        return [event.name for event in self.received(Event)]
