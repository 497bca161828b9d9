"""Frames: COBS and CRC-16/IBM-3740 around a message.

On the wire: ``COBS(message + CRC) 00``. The CRC goes most significant byte first, so that the CRC
over message and CRC together is zero. A zero byte ends a frame and occurs nowhere else, so a parser
that has lost synchronisation finds the next frame at the next zero.
"""

from __future__ import annotations

from binascii import crc_hqx

from cobs.cobs import DecodeError, decode, encode
from msgspec import Struct

CRC_START = 0xFFFF
MAX_MESSAGE = 120
"""Longest message with its CRC, bytes. Below 255, so COBS always adds exactly one byte."""
MAX_ENCODED = MAX_MESSAGE + 1
"""Longest frame on the wire without its final zero, bytes."""
MIN_MESSAGE = 3
"""Shortest message with its CRC: one byte of type and two of CRC."""


def crc16(data: bytes) -> int:
    """CRC-16/IBM-3740 of ``data``: polynomial 0x1021, start 0xFFFF, not reflected."""
    return crc_hqx(data, CRC_START)


def encode_frame(message: bytes) -> bytes:
    """Put ``message`` (type byte first, without CRC) into a frame, final zero included."""
    body: bytes = encode(message + crc_hqx(message, CRC_START).to_bytes(2, "big"))
    return body + b"\0"


class FrameCounts(Struct):
    """Counts of a parser.

    Attributes:
        good: frames that passed.
        damaged: frames refused: wrong CRC, broken COBS, too short.
        too_long: frames dropped because no zero came in time.
    """

    good: int = 0
    damaged: int = 0
    too_long: int = 0

    @property
    def bad(self) -> int:
        """All frames that were refused."""
        return self.damaged + self.too_long


class FrameParser:
    """Finds the good frames in a stream of any bytes, in any split.

    Never raises, never holds more than ``MAX_ENCODED`` bytes, and is synchronised again after the
    next zero byte.
    """

    def __init__(self) -> None:
        self._rest = b""
        self._skipping = False
        self.counts = FrameCounts()

    @property
    def held(self) -> int:
        """Number of bytes waiting for the end of their frame."""
        return len(self._rest)

    def feed(self, data: bytes) -> list[bytes]:
        """Take the bytes that came and give the messages (without CRC) that they complete."""
        pieces = (self._rest + data).split(b"\0")
        rest = pieces.pop()
        messages = []
        for piece in pieces:
            if self._skipping:
                self._skipping = False  # the tail of a frame that was dropped
                continue
            if not piece:
                continue  # zeros in a row: a sender clearing the line
            message = self._open(piece)
            if message is not None:
                messages.append(message)
        if len(rest) > MAX_ENCODED:
            if not self._skipping:
                self.counts.too_long += 1
                self._skipping = True
            rest = b""
        self._rest = b"" if self._skipping else rest
        return messages

    def reset(self) -> None:
        """Drop an incomplete frame, for example after the port was reopened."""
        self._rest = b""
        self._skipping = False

    def _open(self, piece: bytes) -> bytes | None:
        if len(piece) > MAX_ENCODED:
            self.counts.too_long += 1
            return None
        try:
            body: bytes = decode(piece)
        except DecodeError:
            self.counts.damaged += 1
            return None
        if len(body) < MIN_MESSAGE or crc_hqx(body, CRC_START) != 0:
            self.counts.damaged += 1
            return None
        self.counts.good += 1
        return body[:-2]
