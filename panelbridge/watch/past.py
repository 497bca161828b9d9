"""The last minute of a run, kept by the publisher for viewers that join: their trends need it.

It travels once, before a viewer's first snapshot: the snapshots of two a second, compressed
together, for one is much like the next.
"""

from __future__ import annotations

import binascii
import re
import zlib
from collections import deque
from contextlib import suppress

from panelbridge.errors import MessageError

SPAN_S = 60.0
EACH_S = 0.5
_MOST_BYTES = 1_000_000
"""Of snapshots that are kept: the oldest go first."""
MOST_LINE = 300_000
"""Longest line for a viewer, bytes: also a slow one takes it in time."""
_TIME = re.compile(rb'"time_s":(-?[0-9.]+(?:[eE][-+]?[0-9]+)?)[,}]')
"""In a string, JSON writes no such quotes."""


class KeptPast:
    """The publisher's memory of the last minute."""

    def __init__(self) -> None:
        self._kept: deque[tuple[float, bytes]] = deque()
        self._bytes = 0
        self._line: bytes | None = None

    def take(self, snapshot: bytes) -> None:
        """A snapshot as JSON; a time that runs backwards is another flight."""
        found = _TIME.search(snapshot)
        if found is None:
            return
        time_s = float(found[1])
        if self._kept and time_s < self._kept[-1][0]:
            self._kept.clear()
            self._bytes = 0
        if self._kept and time_s < self._kept[-1][0] + EACH_S:
            return
        self._kept.append((time_s, snapshot))
        self._bytes += len(snapshot)
        while self._kept and (self._kept[0][0] < time_s - SPAN_S or self._bytes > _MOST_BYTES):
            self._bytes -= len(self._kept.popleft()[1])
        self._line = None

    def line(self) -> bytes:
        """For a viewer that joins; empty when there is no past yet."""
        if self._line is None:
            texts = [text for _, text in self._kept]
            self._line = _packed(texts)
            while len(self._line) > MOST_LINE:
                texts = texts[(len(texts) + 1) % 2 :: 2]  # with the newest
                self._line = _packed(texts)
        return self._line


def _packed(texts: list[bytes]) -> bytes:
    if len(texts) < 2:
        return b""
    return b"P" + binascii.b2a_base64(zlib.compress(b"\n".join(texts), 1))


def read_past(packed: bytes) -> list[bytes]:
    """The snapshots of such a line, the oldest first, as JSON. Raises: MessageError."""
    unpacker = zlib.decompressobj()
    text = b""
    with suppress(binascii.Error, zlib.error):
        text = unpacker.decompress(binascii.a2b_base64(packed), 2 * _MOST_BYTES)
    if not unpacker.eof:
        raise MessageError("this is not what this version of panelbridge publishes")
    return text.split(b"\n")
