"""The interface of a transport: messages or parts of a stream in, bytes out, never blocking."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from msgspec import Struct, field

MOST_ARRIVALS = 64
"""Most arrivals of one reading, so that a flood does not starve the boards."""

# Why messages are dropped.
TOO_MANY = "too many at once"
SYSTEM_BUFFER = "the system's buffer was full"
NOBODY = "nobody there to take it"
OTHER_SENDER = "from another sender"
OVERLONG_MESSAGE = "overlong message"


class Arrival(Struct, frozen=True):
    """Bytes that have come.

    Attributes:
        data: a whole message, or a part of a stream.
        topic: where it was published; empty on a medium without topics.
        is_retained: kept by a broker from before: it says nothing of now.
        restarts: the stream begins again with it: what was left of it before is void.
    """

    data: bytes
    topic: str = ""
    is_retained: bool = False
    restarts: bool = False


class TransportHealth(Struct, frozen=True):
    """How a transport is.

    Attributes:
        is_open: bytes can come and go.
        text: how it is, and why it is not open, for people.
        dropped: messages that were dropped because too many came, or nobody was there to take them,
            by reason.
        connections: how often it has been opened or connected: one more means that the other side
            may have forgotten what it was sent.
    """

    is_open: bool = False
    text: str = ""
    dropped: Mapping[str, int] = field(default_factory=dict)
    connections: int = 0


class Transport(Protocol):
    """A medium. Used by one thread; a library's thread only queues and wakes it."""

    name: str
    """For people: the medium and its address, without secrets."""
    is_stream: bool
    """What comes are parts of a stream, which a framing cuts up; else each is a whole message."""

    def open(self, now_s: float) -> None:
        """Begin; later attempts are its own affair.

        Raises:
            FeedError: it can never open: the address is taken, the port does not exist.
        """
        ...

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come, oldest first, at most ``MOST_ARRIVALS``; keeps connecting meanwhile."""
        ...

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        """Send at once or not at all; False = dropped, for nobody is there."""
        ...

    def filenos(self) -> Sequence[int]:
        """What the waiter has to watch for bytes to read."""
        ...

    def health(self) -> TransportHealth:
        """How it is."""
        ...

    def close(self) -> None:
        """Say goodbye and free everything; may be called twice."""
        ...
