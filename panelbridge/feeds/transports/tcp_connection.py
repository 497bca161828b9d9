"""A TCP connection that is open: bytes in and out, without blocking."""

from __future__ import annotations

import contextlib
import socket
from collections import Counter
from collections.abc import Sequence

from panelbridge.feeds.transports.transport import NOBODY, Arrival
from panelbridge.link.ports.failure_text import failure_text

READ_SIZE = 65_536
MOST_READS = 4
"""Most readings of ``READ_SIZE`` in one turn."""
_KEEP_ALIVE = {"TCP_KEEPIDLE": 5, "TCP_KEEPINTVL": 2, "TCP_KEEPCNT": 3}
"""A computer that is gone without a word is noticed after about 11 s."""


class TcpConnection:
    """A connected socket.

    Args:
        connected: the socket; it is closed with this.
    """

    def __init__(self, connected: socket.socket) -> None:
        self._socket = connected
        self._unsent = b""
        connected.setblocking(False)
        with contextlib.suppress(OSError):
            connected.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            connected.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
            for name, value in _KEEP_ALIVE.items():
                if hasattr(socket, name):
                    connected.setsockopt(socket.IPPROTO_TCP, getattr(socket, name), value)

    def fileno(self) -> int:
        """The descriptor, for the waiter."""
        return self._socket.fileno()

    def read(self) -> bytes:
        """What has come. Raises: OSError, when the connection is gone and all of it was read."""
        self._flush()
        pieces: list[bytes] = []
        for _ in range(MOST_READS):
            try:
                data = self._socket.recv(READ_SIZE)
            except (BlockingIOError, InterruptedError):
                break
            except OSError:
                if pieces:
                    break
                raise
            if not data:
                if pieces:
                    break
                raise EOFError
            pieces.append(data)
        if pieces and hasattr(socket, "TCP_QUICKACK"):
            # A peer without TCP_NODELAY holds the rest of its answer back until our receipt.
            with contextlib.suppress(OSError):
                self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_QUICKACK, 1)
        return b"".join(pieces)

    def send(self, data: bytes) -> bool:
        """Send ``data`` now or not at all; a message that is half gone is completed first."""
        try:
            self._flush()
            if self._unsent:
                return False
            sent = self._socket.send(data)
        except OSError:
            return False
        self._unsent = data[sent:]
        return True

    def close(self) -> None:
        """Close the socket."""
        self._socket.close()

    def _flush(self) -> None:
        """Raises: OSError, when the connection is gone."""
        if self._unsent:
            with contextlib.suppress(BlockingIOError, InterruptedError):
                self._unsent = self._unsent[self._socket.send(self._unsent) :]


class TcpPeer:
    """What both ends of TCP have: the connection that counts now, if there is one."""

    is_stream = True

    def __init__(self) -> None:
        self._drops = Counter[str]()
        self._connection: TcpConnection | None = None
        self._restarts = True
        self._connections = 0

    def _take(self, connected: socket.socket) -> None:
        """A new connection, whose stream begins again."""
        self._connection = TcpConnection(connected)
        self._restarts = True
        self._connections += 1

    def _arrived(self) -> tuple[Sequence[Arrival], str]:
        """What has come, and why the connection is lost; empty while it is not."""
        if self._connection is None:
            return (), ""
        try:
            data = self._connection.read()
        except OSError as error:
            return (), failure_text(error)
        except EOFError:
            return (), "the other side closed the connection"
        if not data:
            return (), ""
        arrival = Arrival(data, restarts=self._restarts)
        self._restarts = False
        return (arrival,), ""

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        """Send at once or not at all."""
        if self._connection is not None and self._connection.send(data):
            return True
        self._drops[NOBODY] += 1
        return False
