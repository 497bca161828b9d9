"""Datagrams from the engine's process to its publisher: sealed, numbered, below 8 kB.

Any local program could send one to the publisher's port. So each carries a keyed hash of a secret
of the run, and a number that only grows: what is forged, changed or repeated is dropped.
"""

from __future__ import annotations

import hashlib
import hmac
import struct
import zlib

from msgspec import Struct

MOST_BYTES = 8000
"""Longest datagram: some systems take no more than 9,216 bytes."""
_HASH_BYTES = 16
_HEAD = struct.Struct(">QIB")  # number, number of the first event, whether it is compressed
_SHORTEST = _HASH_BYTES + _HEAD.size


class PublishedPart(Struct, frozen=True):
    """The content of a datagram.

    Attributes:
        snapshot: one line of JSON without the events; empty: events only.
        first_event: number of the first event, from 0 at the start of the run.
        events: a line of JSON each.
    """

    snapshot: bytes
    first_event: int
    events: tuple[bytes, ...]


class DatagramSealer:
    """Makes datagrams; at the engine. Args: secret: of the run."""

    def __init__(self, secret: bytes) -> None:
        self._secret = secret
        self._number = 0

    def seal(self, part: PublishedPart) -> bytes | None:
        """The datagram of a part; None when it is too long even compressed."""
        body = b"\n".join((part.snapshot, *part.events))
        is_long = len(body) + _SHORTEST > MOST_BYTES
        if is_long:
            body = zlib.compress(body, 1)
            if len(body) + _SHORTEST > MOST_BYTES:
                return None
        self._number += 1
        message = _HEAD.pack(self._number, part.first_event, is_long) + body
        return _keyed_hash(self._secret, message) + message


class DatagramOpener:
    """Reads datagrams; at the publisher.

    Args:
        secret: of the run.

    Attributes:
        refused: datagrams that did not come from the engine, or came twice.
    """

    def __init__(self, secret: bytes) -> None:
        self._secret = secret
        self._number = 0
        self.refused = 0

    def open(self, datagram: bytes) -> PublishedPart | None:
        """The content; None when it is refused."""
        sealed, message = datagram[:_HASH_BYTES], datagram[_HASH_BYTES:]
        if (
            not _SHORTEST <= len(datagram) <= MOST_BYTES
            or not hmac.compare_digest(sealed, _keyed_hash(self._secret, message))
            or _HEAD.unpack_from(message)[0] <= self._number
        ):
            self.refused += 1
            return None
        self._number, first, is_compressed = _HEAD.unpack_from(message)
        body = message[_HEAD.size :]
        snapshot, *events = (zlib.decompress(body) if is_compressed else body).split(b"\n")
        return PublishedPart(snapshot, first, tuple(events))


def _keyed_hash(secret: bytes, message: bytes) -> bytes:
    return hashlib.blake2b(message, key=secret, digest_size=_HASH_BYTES).digest()
