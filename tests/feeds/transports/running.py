"""Runs transports as the engine does, until something is so."""

from __future__ import annotations

import select
import socket
from collections.abc import Callable
from pathlib import Path
from threading import Event
from types import TracebackType
from typing import Any

from panelbridge.clock import LiveClock
from panelbridge.feeds.transports.make import make_transport
from panelbridge.feeds.transports.transport import Arrival, Transport
from tests.feeds.formats.making import transport_keys

LONGEST_S = 20.0
"""A test that has waited this long has failed."""
_TURN_S = 0.01


class Running:
    """A transport of a feed file, read again and again in this thread.

    Args:
        over: its medium.
        folder: from where paths count.
        keys: its other keys.
    """

    def __init__(self, over: str, *, folder: Path | None = None, **keys: Any) -> None:
        self.woken = Event()
        self.clock = LiveClock()
        self.transport: Transport = make_transport(
            transport_keys(over, **keys), self.woken.set, folder
        )
        self.arrivals: list[Arrival] = []

    def __enter__(self) -> Running:
        self.transport.open(self.clock.now())
        return self

    def __exit__(
        self, _: type[BaseException] | None, __: BaseException | None, ___: TracebackType | None
    ) -> None:
        self.transport.close()

    @property
    def data(self) -> list[bytes]:
        """What has come, without its circumstances."""
        return [arrival.data for arrival in self.arrivals]

    @property
    def text(self) -> str:
        """How it is, in words."""
        return self.transport.health().text

    def send(self, data: bytes, topic: str = "") -> bool:
        """Send something."""
        return self.transport.send(self.clock.now(), data, topic)

    def read(self) -> None:
        """Read once."""
        self.arrivals += self.transport.read(self.clock.now())

    def until(self, condition: Callable[[], bool]) -> None:
        """Read until ``condition`` holds."""
        begin_s = self.clock.now()
        while True:
            self.read()
            if condition():
                return
            assert self.clock.now() - begin_s < LONGEST_S, (self.text, self.arrivals[-5:])
            filenos = list(self.transport.filenos())
            if filenos:
                select.select(filenos, [], [], _TURN_S)
            else:
                self.woken.wait(_TURN_S)
                self.woken.clear()

    def until_open(self) -> None:
        """Read until it is open."""
        self.until(lambda: self.transport.health().is_open)


def free_port(kind: socket.SocketKind = socket.SOCK_DGRAM) -> int:
    """A port of the loopback that nobody has."""
    with socket.socket(socket.AF_INET, kind) as port:
        port.bind(("127.0.0.1", 0))
        number: int = port.getsockname()[1]
        return number
