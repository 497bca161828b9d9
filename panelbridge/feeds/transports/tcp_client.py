"""A TCP connection that this program makes, again and again."""

from __future__ import annotations

import errno
import os
import select
import socket
from collections.abc import Callable, Sequence

from panelbridge.config.links.transports import TcpLink
from panelbridge.feeds.transports.lookup import Endpoint, Lookup
from panelbridge.feeds.transports.tcp_connection import TcpPeer
from panelbridge.feeds.transports.transport import Arrival, TransportHealth
from panelbridge.link.ports.failure_text import failure_text
from panelbridge.link.session.reconnect import BackOff

CONNECT_WAIT_S = 5.0
"""Longest wait for a connection, s."""
_UNDER_WAY = {errno.EINPROGRESS, errno.EWOULDBLOCK, getattr(errno, "WSAEWOULDBLOCK", 0)}


class TcpClient(TcpPeer):
    """Connects without blocking, and again when the connection is lost.

    Args:
        keys: the file's description.
        wake: ends the engine's wait.
    """

    def __init__(self, keys: TcpLink, wake: Callable[[], None]) -> None:
        super().__init__()
        self.name = f"TCP {keys.host}:{keys.port}"
        self._keys = keys
        self._wake = wake
        self._back_off = BackOff()
        self._due_s = 0.0
        self._lookup: Lookup | None = None
        self._connecting: socket.socket | None = None
        self._give_up_s = 0.0
        self._trouble = "it is tried"

    def open(self, now_s: float) -> None:
        """Begin to connect."""
        self._due_s = now_s
        self._connect(now_s)

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come; connects meanwhile."""
        if self._connection is None:
            self._connect(now_s)
        arrivals, why = self._arrived()
        if why:
            self._lost(now_s, why)
        return arrivals

    def filenos(self) -> Sequence[int]:
        """The connected socket; one that still connects is looked at in each reading."""
        return () if self._connection is None else (self._connection.fileno(),)

    def health(self) -> TransportHealth:
        """Connected, or why not."""
        is_open = self._connection is not None
        text = "connected" if is_open else f"not connected: {self._trouble}"
        return TransportHealth(is_open, text, self._drops, self._connections)

    def close(self) -> None:
        """Close the connection."""
        for one in (self._connection, self._connecting):
            if one is not None:
                one.close()
        self._connection = self._connecting = self._lookup = None
        self._due_s = float("inf")

    def _connect(self, now_s: float) -> None:
        """Take the next step of a connection, if there is one."""
        if self._connecting is not None:
            self._finish(now_s, self._connecting)
        elif self._lookup is not None:
            found = self._lookup.result()
            if found is not None:
                self._lookup = None
                if isinstance(found, OSError):
                    self._lost(now_s, failure_text(found, self._keys.host))
                else:
                    self._begin(now_s, found)
        elif now_s >= self._due_s:
            self._lookup = Lookup(self._keys.host, self._keys.port, self._wake)
            if self._lookup.result() is not None:
                self._connect(now_s)

    def _begin(self, now_s: float, peer: Endpoint) -> None:
        connecting = socket.socket(peer.family, socket.SOCK_STREAM)
        connecting.setblocking(False)
        number = connecting.connect_ex(peer.address)
        if number and number not in _UNDER_WAY:
            connecting.close()
            self._lost(now_s, failure_text(OSError(number, os.strerror(number))))
            return
        self._connecting = connecting
        self._give_up_s = now_s + CONNECT_WAIT_S
        self._finish(now_s, connecting)

    def _finish(self, now_s: float, connecting: socket.socket) -> None:
        # Windows shows a refusal in the third list only.
        _, ready, failed = select.select((), (connecting,), (connecting,), 0)
        if not ready and not failed:
            if now_s >= self._give_up_s:
                connecting.close()
                self._lost(now_s, failure_text(TimeoutError()))
            return
        number = connecting.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
        self._connecting = None
        if number:
            connecting.close()
            self._lost(now_s, failure_text(OSError(number, os.strerror(number))))
            return
        self._take(connecting)
        self._back_off.reset()

    def _lost(self, now_s: float, why: str) -> None:
        if self._connection is not None:
            self._connection.close()
        self._connection = self._connecting = None
        self._trouble = why
        self._due_s = now_s + self._back_off.take_s()
