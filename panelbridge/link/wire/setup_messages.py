"""Messages that open a session: hello, pin set-up and release."""

from __future__ import annotations

import struct
from collections.abc import Callable
from typing import ClassVar, Self

from msgspec import Struct
from msgspec.structs import astuple

from panelbridge.errors import MessageError
from panelbridge.link.wire.constants import PROTOCOL_VERSION, ItemKind, MessageType


class FixedMessage(Struct, frozen=True):
    """Base of messages of one fixed length: a type byte, then the fields in their order."""

    message_type: ClassVar[MessageType]
    layout: ClassVar[struct.Struct]

    def pack(self) -> bytes:
        """The message's bytes."""
        return self.layout.pack(self.message_type, *astuple(self))

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError."""
        size, name = cls.layout.size, cls.message_type.name
        if len(message) != size:
            raise MessageError(f"{name} of {len(message)} bytes, {size} expected")
        make: Callable[..., Self] = cls
        return make(*cls.layout.unpack(message)[1:])


class HelloRequest(FixedMessage, frozen=True):
    """Host: who are you?

    Attributes:
        protocol: the host's version of the protocol, 0-255.
    """

    message_type = MessageType.HELLO_REQUEST
    layout = struct.Struct("<BB")

    protocol: int = PROTOCOL_VERSION


class Hello(FixedMessage, frozen=True):
    """Board: who I am. Sent after a reset, every 500 ms until set up, and when asked.

    Attributes:
        protocol: the board's version of the protocol, 0-255.
        board_code: kind of board (``BoardCode``; an unknown number is kept as it is).
        firmware_major: firmware's version.
        firmware_minor: firmware's version.
        boot_id: a different number after each reset, 0-65535.
        setup_checksum: of the active set-up; 0 = none.
        max_items: most items that a set-up may have.
    """

    message_type = MessageType.HELLO
    layout = struct.Struct("<BBBBBHHB")

    protocol: int
    board_code: int
    firmware_major: int
    firmware_minor: int
    boot_id: int
    setup_checksum: int
    max_items: int

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``.

        A HELLO of another protocol version may have another length: only its first two bytes are
        read then, and the rest is zero. Raises: MessageError.
        """
        if len(message) >= 2 and message[1] != PROTOCOL_VERSION:
            return cls(message[1], 0, 0, 0, 0, 0, 0)
        return super().unpack(message)


class SetupBegin(FixedMessage, frozen=True):
    """Host: a pin set-up follows; the board puts its outputs to idle and forgets the old one.

    Attributes:
        session: number of this session, 1-255; COMMAND and REPORT carry it, so that a late
            frame of an earlier session is never mistaken for one of this.
        item_count: how many SETUP_ITEM follow.
        checksum: CRC-16 over the items' bytes (``SetupItem.body``), in their order.
        host_timeout_ms: time without a valid COMMAND after which the outputs go to idle.
        report_interval_ms: longest time between two REPORTs.
    """

    message_type = MessageType.SETUP_BEGIN
    layout = struct.Struct("<BBBHHH")

    session: int
    item_count: int
    checksum: int
    host_timeout_ms: int
    report_interval_ms: int


class SetupItem(FixedMessage, frozen=True):
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

    message_type = MessageType.SETUP_ITEM
    layout = struct.Struct("<BBBBBHHH")

    index: int
    kind: int
    pin: int
    flags: int = 0
    p1: int = 0
    p2: int = 0
    p3: int = 0

    def body(self) -> bytes:
        """The nine bytes that the set-up's checksum covers."""
        return self.pack()[2:]

    @property
    def is_input(self) -> bool:
        """Whether REPORT carries its state."""
        return self.kind < ItemKind.LAMP

    @property
    def is_output(self) -> bool:
        """Whether COMMAND has a value for it."""
        return ItemKind.LAMP <= self.kind < ItemKind.CHAIN_IN

    @property
    def is_chain(self) -> bool:
        """Whether it is a chain of shift registers."""
        return self.kind in (ItemKind.CHAIN_IN, ItemKind.CHAIN_OUT)


class SetupCommit(FixedMessage, frozen=True):
    """Host: all items are sent; use them if the checksum agrees.

    Attributes:
        checksum: as in SETUP_BEGIN.
    """

    message_type = MessageType.SETUP_COMMIT
    layout = struct.Struct("<BH")

    checksum: int


class SetupReply(FixedMessage, frozen=True):
    """Board: answer to SETUP_BEGIN, SETUP_ITEM or SETUP_COMMIT.

    Attributes:
        session: of the active SETUP_BEGIN; 0 when there is none.
        answers: message type that is answered.
        index: of the item that is answered; 0 for the others.
        status: ``SetupStatus`` (an unknown number is kept as it is).
        checksum: CRC-16 over the items taken so far.
    """

    message_type = MessageType.SETUP_REPLY
    layout = struct.Struct("<BBBBBH")

    session: int
    answers: int
    index: int
    status: int
    checksum: int


class Release(FixedMessage, frozen=True):
    """Host: the session ends; outputs to idle at once. The board answers with HELLO."""

    message_type = MessageType.RELEASE
    layout = struct.Struct("<B")
