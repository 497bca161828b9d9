"""Messages of the raw capture: how long does one contact bounce?"""

from __future__ import annotations

import struct
from typing import Self

from msgspec import Struct

from panelbridge.errors import MessageError
from panelbridge.link.wire.constants import (
    MAX_CAPTURE_TIMES,
    MAX_CAPTURE_WINDOW_MS,
    NO_CONTACT,
    MessageType,
)
from panelbridge.link.wire.setup_messages import FixedMessage

_CAPTURED_HEAD = struct.Struct("<BBBBHH")
_TIME_BYTES = 3


class Capture(FixedMessage, frozen=True):
    """Host: watch the raw changes of one contact.

    Attributes:
        session: as in SETUP_BEGIN.
        contact: which CONTACT of the set-up, counted from 0; ``NO_CONTACT`` ends the watch.
        window_ms: how long to watch from the first change on, ms, 1 to ``MAX_CAPTURE_WINDOW_MS``.
    """

    message_type = MessageType.CAPTURE
    layout = struct.Struct("<BBBH")

    session: int
    contact: int
    window_ms: int = 100

    def check(self, contacts: int) -> None:
        """Check it for a board whose set-up has ``contacts`` CONTACT items.

        Raises:
            MessageError: no such contact, or a window out of its range.
        """
        if self.contact >= contacts and self.contact != NO_CONTACT:
            raise MessageError("CAPTURE of a contact that the set-up does not have")
        if not 1 <= self.window_ms <= MAX_CAPTURE_WINDOW_MS:
            raise MessageError(f"CAPTURE for {self.window_ms} ms")


class Captured(Struct, frozen=True):
    """Board: the raw changes of a contact, or (with no changes) that the watch begins.

    Attributes:
        session: as in SETUP_BEGIN.
        contact: as in CAPTURE.
        first_closed: the first change closed the contact.
        changes: raw changes in the window, the first one included; 65535 = that many or more.
        resolution_us: longest time between two samples of the contact, us; 65535 = that or longer.
        times_us: when each change came, us after the first; the first ``MAX_CAPTURE_TIMES``.
    """

    session: int
    contact: int
    first_closed: bool
    changes: int
    resolution_us: int
    times_us: tuple[int, ...] = ()

    def pack(self) -> bytes:
        """The message's bytes."""
        head = _CAPTURED_HEAD.pack(
            MessageType.CAPTURED,
            self.session,
            self.contact,
            self.first_closed,
            self.changes,
            self.resolution_us,
        )
        return head + b"".join(time.to_bytes(_TIME_BYTES, "little") for time in self.times_us)

    @classmethod
    def unpack(cls, message: bytes) -> Self:
        """Inverse of ``pack``. Raises: MessageError: a wrong length, or times that fall."""
        if len(message) < _CAPTURED_HEAD.size:
            raise MessageError(f"CAPTURED of {len(message)} bytes, {_CAPTURED_HEAD.size} at least")
        _, session, contact, closed, changes, resolution_us = _CAPTURED_HEAD.unpack_from(message)
        at, count = _CAPTURED_HEAD.size, min(changes, MAX_CAPTURE_TIMES)
        if len(message) != at + _TIME_BYTES * count:
            raise MessageError(f"CAPTURED of {len(message)} bytes with {changes} changes")
        times_us = tuple(
            int.from_bytes(message[start : start + _TIME_BYTES], "little")
            for start in range(at, len(message), _TIME_BYTES)
        )
        if closed > 1 or times_us[:1] > (0,) or list(times_us) != sorted(times_us):
            raise MessageError("CAPTURED with values that make no sense")
        return cls(session, contact, bool(closed), changes, resolution_us, times_us)
