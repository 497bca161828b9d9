"""Messages that open a session: hello, pin set-up and release."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import Self

from panelbridge.errors import MessageError
from panelbridge.link.wire.constants import PROTOCOL_VERSION, ItemKind, MessageType

_HELLO_REQUEST = struct.Struct("<BB")
_HELLO = struct.Struct("<BBBBBHHB")
_SETUP_BEGIN = struct.Struct("<BBBHHH")
_ITEM_BODY = struct.Struct("<BBBHHH")
_SETUP_ITEM = struct.Struct("<BBBBBHHH")
_SETUP_COMMIT = struct.Struct("<BH")
_SETUP_REPLY = struct.Struct("<BBBBBH")


def _unpack(layout: struct.Struct, message: bytes, name: str) -> tuple[int, ...]:
    if len(message) != layout.size:
        raise MessageError(f"{name} of {len(message)} bytes, {layout.size} expected")
    values: tuple[int, ...] = layout.unpack(message)
    return values[1:]


@dataclass(frozen=True, slots=True)
class HelloRequest:
    """Host: who are you?

    Attributes:
        protocol: the host's version of the protocol, 0-255.
    """

    protocol: int = PROTOCOL_VERSION

    def pack(self) -> bytes:
        """The message's bytes."""
        return _HELLO_REQUEST.pack(MessageType.HELLO_REQUEST, self.protocol)

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        return cls(*_unpack(_HELLO_REQUEST, message, "HELLO_REQUEST"))


@dataclass(frozen=True, slots=True)
class Hello:
    """Board: who I am. Sent after a reset, every 500 ms until set up, and when asked.

    Attributes:
        protocol: the board's version of the protocol, 0-255.
        board_code: kind of board (``BoardCode``; an unknown number is kept as it is).
        firmware_major: firmware's version.
        firmware_minor: firmware's version.
        boot_id: another number after each reset, 0-65535.
        setup_checksum: of the set-up in force; 0 = none.
        max_items: most items that a set-up may have.
    """

    protocol: int
    board_code: int
    firmware_major: int
    firmware_minor: int
    boot_id: int
    setup_checksum: int
    max_items: int

    def pack(self) -> bytes:
        """The message's bytes."""
        return _HELLO.pack(
            MessageType.HELLO,
            self.protocol,
            self.board_code,
            self.firmware_major,
            self.firmware_minor,
            self.boot_id,
            self.setup_checksum,
            self.max_items,
        )

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``.

        A HELLO of another protocol version may have another length: only its first two bytes are
        read then, and the rest is zero. Raises: MessageError.
        """
        if len(message) >= 2 and message[1] != PROTOCOL_VERSION:
            return cls(message[1], 0, 0, 0, 0, 0, 0)
        return cls(*_unpack(_HELLO, message, "HELLO"))


@dataclass(frozen=True, slots=True)
class SetupBegin:
    """Host: a pin set-up follows; the board puts its outputs to idle and forgets the old one.

    Attributes:
        session: number of this session, 1-255; COMMAND and REPORT carry it, so that a frame of an
            earlier session that was still under way is never taken for one of this.
        item_count: how many SETUP_ITEM follow.
        checksum: CRC-16 over the items' bytes (``SetupItem.body``), in their order.
        host_timeout_ms: after so long without a valid COMMAND the outputs go to idle.
        report_interval_ms: longest time between two REPORTs.
    """

    session: int
    item_count: int
    checksum: int
    host_timeout_ms: int
    report_interval_ms: int

    def pack(self) -> bytes:
        """The message's bytes."""
        return _SETUP_BEGIN.pack(
            MessageType.SETUP_BEGIN,
            self.session,
            self.item_count,
            self.checksum,
            self.host_timeout_ms,
            self.report_interval_ms,
        )

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        return cls(*_unpack(_SETUP_BEGIN, message, "SETUP_BEGIN"))


@dataclass(frozen=True, slots=True)
class SetupItem:
    """Host: one pin's use. The three parameters depend on the kind.

    ========= ==================== =================== ==================
    kind      p1                   p2                  p3
    ========= ==================== =================== ==================
    CONTACT   debounce, ms         0                   0
    ANALOGUE  noise gate, counts   0                   0
    LAMP      idle brightness      0                   0
    TONE      frequency, Hz        on time, ms         off time, ms
    SERVO     idle pulse, us       shortest pulse, us  longest pulse, us
    CHAIN_IN  clock pin            latch pin           chips, 1-16
    CHAIN_OUT clock pin            latch pin           chips, 1-16
    ========= ==================== =================== ==================

    Attributes:
        index: place in the set-up, from 0.
        kind: ``ItemKind`` (an unknown number is kept for the board to refuse).
        pin: the board's own number of the pin; from ``FIRST_CHAIN_PIN`` on a bit of a chain. Of a
            chain the data pin.
        flags: ``ItemFlag`` bits.
        p1: 0-65535, as the table says.
        p2: 0-65535.
        p3: 0-65535.
    """

    index: int
    kind: int
    pin: int
    flags: int = 0
    p1: int = 0
    p2: int = 0
    p3: int = 0

    def body(self) -> bytes:
        """The nine bytes that the set-up's checksum covers."""
        return _ITEM_BODY.pack(self.kind, self.pin, self.flags, self.p1, self.p2, self.p3)

    def pack(self) -> bytes:
        """The message's bytes."""
        return bytes((MessageType.SETUP_ITEM, self.index)) + self.body()

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        return cls(*_unpack(_SETUP_ITEM, message, "SETUP_ITEM"))

    @property
    def is_input(self) -> bool:
        """Whether REPORT tells its state."""
        return self.kind < ItemKind.LAMP

    @property
    def is_output(self) -> bool:
        """Whether COMMAND has a value for it."""
        return ItemKind.LAMP <= self.kind < ItemKind.CHAIN_IN

    @property
    def is_chain(self) -> bool:
        """Whether it is a chain of shift registers."""
        return self.kind in (ItemKind.CHAIN_IN, ItemKind.CHAIN_OUT)


@dataclass(frozen=True, slots=True)
class SetupCommit:
    """Host: all items are sent; use them if the checksum agrees.

    Attributes:
        checksum: as in SETUP_BEGIN.
    """

    checksum: int

    def pack(self) -> bytes:
        """The message's bytes."""
        return _SETUP_COMMIT.pack(MessageType.SETUP_COMMIT, self.checksum)

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        return cls(*_unpack(_SETUP_COMMIT, message, "SETUP_COMMIT"))


@dataclass(frozen=True, slots=True)
class SetupReply:
    """Board: answer to SETUP_BEGIN, SETUP_ITEM or SETUP_COMMIT.

    Attributes:
        session: of the SETUP_BEGIN in force; 0 when there is none.
        answers: message type that is answered.
        index: of the item that is answered; 0 for the others.
        status: ``SetupStatus`` (an unknown number is kept as it is).
        checksum: CRC-16 over the items taken so far.
    """

    session: int
    answers: int
    index: int
    status: int
    checksum: int

    def pack(self) -> bytes:
        """The message's bytes."""
        return _SETUP_REPLY.pack(
            MessageType.SETUP_REPLY,
            self.session,
            self.answers,
            self.index,
            self.status,
            self.checksum,
        )

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        return cls(*_unpack(_SETUP_REPLY, message, "SETUP_REPLY"))


@dataclass(frozen=True, slots=True)
class Release:
    """Host: the session ends; outputs to idle at once. The board answers with HELLO."""

    def pack(self) -> bytes:
        """The message's bytes."""
        return bytes((MessageType.RELEASE,))

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        if len(message) != 1:
            raise MessageError(f"RELEASE of {len(message)} bytes, 1 expected")
        return cls()
