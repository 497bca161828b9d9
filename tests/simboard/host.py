"""The host's side of the dialogue, by hand: says one message at a time and hears the answers."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from panelbridge.link.wire import (
    Capture,
    Captured,
    Command,
    Hello,
    HelloRequest,
    ItemFlag,
    ItemKind,
    MessageType,
    Release,
    Report,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
    SetupShape,
    SetupStatus,
)
from panelbridge.link.wire.frames import FrameParser, crc16, encode_frame

CONTACT_FLAGS = int(ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW)
ONE_STEP_S = 0.002


class Bench(ABC):
    """A board under test: a byte stream, hands on its contacts, eyes on its lamps, and time.

    Pins are named as on the board; all benches must have D2, D4 (contacts), D5 (a lamp that can be
    dimmed), D7 (a lamp), D8 (horn), D9 (servo) and A0. Two chips each of 74HC165 are at D10 (data),
    D11 (clock) and D12 (latch), of 74HC595 at D3 (data), D6 (clock) and D13 (latch); a bit of them
    is named by its data pin: D10.0 to D10.15, D3.0 to D3.15.
    """

    @abstractmethod
    def write(self, data: bytes) -> None:
        """Send bytes to the board."""

    @abstractmethod
    def read(self) -> bytes:
        """Every byte that has come from the board."""

    @abstractmethod
    def pass_time(self, seconds: float) -> None:
        """Let this time pass."""

    @abstractmethod
    def now_s(self) -> float:
        """The bench's time."""

    @abstractmethod
    def set_contact(self, pin_name: str, closed: bool) -> None:
        """Connect a pin to ground, or not."""

    @abstractmethod
    def lamp(self, pin_name: str) -> int:
        """How bright a lamp is, 0-255; 0 when its pin is not driven."""

    @abstractmethod
    def chip_high(self, bit_name: str) -> bool:
        """Whether an output of a 74HC595 is high, driven or not."""

    @abstractmethod
    def sounding(self, pin_name: str) -> bool:
        """Whether a horn can be heard now."""

    @abstractmethod
    def reset(self) -> None:
        """Press the reset button."""

    @abstractmethod
    def close(self) -> None:
        """Leave nothing open."""


@dataclass(frozen=True)
class Plan:
    """A set-up."""

    items: tuple[SetupItem, ...]

    @property
    def checksum(self) -> int:
        return crc16(b"".join(item.body() for item in self.items))

    @property
    def shape(self) -> SetupShape:
        return SetupShape.of(self.items)


def contact(index: int, pin: int, debounce_ms: int = 5, flags: int = CONTACT_FLAGS) -> SetupItem:
    return SetupItem(index, ItemKind.CONTACT, pin, flags, debounce_ms)


PLAN = Plan(
    (
        contact(0, 2),
        contact(1, 4),
        SetupItem(2, ItemKind.LAMP, 5, ItemFlag.PWM, 10),
        SetupItem(3, ItemKind.LAMP, 7),
        SetupItem(4, ItemKind.TONE, 8, 0, 700, 200, 100),
    )
)
"""Two contacts, a dimmed lamp that idles at 10, a plain lamp, a horn."""

CHAINS = Plan(
    (
        SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 2),
        SetupItem(1, ItemKind.CHAIN_OUT, 3, 0, 6, 13, 2),
        contact(2, 128, flags=ItemFlag.ACTIVE_LOW),
        contact(3, 128 + 7, flags=ItemFlag.ACTIVE_LOW),
        contact(4, 128 + 9, flags=0),
        SetupItem(5, ItemKind.LAMP, 144),
        SetupItem(6, ItemKind.LAMP, 144 + 10, 0, 1),
        SetupItem(7, ItemKind.LAMP, 144 + 15, ItemFlag.ACTIVE_LOW),
    )
)
"""Bits 0, 7 and 9 of a 74HC165 chain (the last opens when operated), 0, 10 and 15 of a 74HC595
chain (10 is lit at idle, 15 is lit by a low output)."""

Message = Hello | SetupReply | Report | Captured


class Host:
    """Talks to the board on a bench."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.parser = FrameParser()
        self.heard: list[Message] = []
        self.shape = SetupShape(0, 0, ())
        self.session = 0
        self.sequence = 0

    def say(self, message: bytes) -> None:
        self.bench.write(encode_frame(message))

    def listen(self) -> None:
        """Take what has come."""
        for message in self.parser.feed(self.bench.read()):
            if message[0] == MessageType.HELLO:
                self.heard.append(Hello.unpack(message))
            elif message[0] == MessageType.SETUP_REPLY:
                self.heard.append(SetupReply.unpack(message))
            elif message[0] == MessageType.CAPTURED:
                self.heard.append(Captured.unpack(message))
            else:
                self.heard.append(Report.unpack(message, self.shape))

    def pass_time(self, seconds: float) -> None:
        self.bench.pass_time(seconds)
        self.listen()

    def until(self, condition: Callable[[], bool], within_s: float = 3.0) -> None:
        """Let time pass until it is so; fails after ``within_s`` of the bench's time."""
        end_s = self.bench.now_s() + within_s
        while not condition():
            assert self.bench.now_s() < end_s, f"not within {within_s} s; heard {self.heard[-5:]}"
            self.pass_time(ONE_STEP_S)

    def hellos(self) -> list[Hello]:
        return [message for message in self.heard if isinstance(message, Hello)]

    def replies(self) -> list[SetupReply]:
        return [message for message in self.heard if isinstance(message, SetupReply)]

    def reports(self) -> list[Report]:
        return [message for message in self.heard if isinstance(message, Report)]

    def captured(self) -> list[Captured]:
        return [message for message in self.heard if isinstance(message, Captured)]

    def last_report(self) -> Report:
        return self.reports()[-1]

    def ask(self, message: bytes) -> SetupReply:
        """Say a set-up message and wait for its answer."""
        before = len(self.replies())
        self.say(message)
        self.until(lambda: len(self.replies()) > before)
        return self.replies()[-1]

    def greet(self) -> Hello:
        before = len(self.hellos())
        self.say(HelloRequest().pack())
        self.until(lambda: len(self.hellos()) > before)
        return self.hellos()[-1]

    def begin(self, plan: Plan, *, timeout_ms: int = 5000, interval_ms: int = 100) -> SetupReply:
        self.session = self.session % 255 + 1
        count = len(plan.items)
        return self.ask(
            SetupBegin(self.session, count, plan.checksum, timeout_ms, interval_ms).pack()
        )

    def send_items(self, items: Sequence[SetupItem]) -> list[SetupReply]:
        return [self.ask(item.pack()) for item in items]

    def set_up(
        self, plan: Plan = PLAN, *, timeout_ms: int = 5000, interval_ms: int = 100
    ) -> Report:
        """Begin, send all items, commit; gives the first REPORT."""
        self.begin(plan, timeout_ms=timeout_ms, interval_ms=interval_ms)
        self.send_items(plan.items)
        self.shape = plan.shape
        self.sequence = 0
        before = len(self.reports())
        reply = self.ask(SetupCommit(plan.checksum).pack())
        assert reply.status == SetupStatus.OK, reply
        self.until(lambda: len(self.reports()) > before)
        return self.reports()[before]

    def command(self, *outputs: int, ack: int = 0, session: int | None = None) -> int:
        """Say a COMMAND; gives its sequence."""
        self.sequence += 1
        number = self.session if session is None else session
        self.say(Command(number, self.sequence, ack, outputs).pack(self.shape))
        return self.sequence

    def capture(self, contact: int, window_ms: int, session: int | None = None) -> None:
        """Say a CAPTURE."""
        number = self.session if session is None else session
        self.say(Capture(number, contact, window_ms).pack())

    def release(self) -> None:
        self.say(Release().pack())
