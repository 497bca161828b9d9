"""A TCP connection that the simulator makes to this program."""

from __future__ import annotations

import ipaddress
import os
import socket
from collections.abc import Sequence

from panelbridge.config.links.transports import TcpServerLink
from panelbridge.feeds.transports.lookup import numeric_endpoint
from panelbridge.feeds.transports.socket_errors import listening_error
from panelbridge.feeds.transports.tcp_connection import TcpPeer
from panelbridge.feeds.transports.transport import OTHER_SENDER, Arrival, TransportHealth

MOST_ACCEPTED = 8
"""Most connections taken in one reading."""


class TcpServer(TcpPeer):
    """Waits for a connection; a new one takes the place of the old, whose peer may be gone."""

    def __init__(self, keys: TcpServerLink) -> None:
        super().__init__()
        self.name = f"TCP server {keys.listen_address}:{keys.listen_port}"
        self._keys = keys
        self._listening: socket.socket | None = None
        self._trouble = "nobody has connected yet"
        self._peer = ""
        self._only_from = str(ipaddress.ip_address(keys.only_from)) if keys.only_from else None

    def open(self, now_s: float) -> None:
        """Listen. Raises: FeedError, when the port cannot be had."""
        keys = self._keys
        here = numeric_endpoint(keys.listen_address, keys.listen_port)
        listening = socket.socket(here.family, socket.SOCK_STREAM)
        try:
            listening.setblocking(False)
            if os.name == "posix":  # else a port cannot be used again for a minute
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind(here.address)
            listening.listen(MOST_ACCEPTED)
        except OSError as error:
            listening.close()
            raise listening_error(
                error, self.name, keys.listen_address, keys.listen_port
            ) from error
        self._listening = listening

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come from the newest connection."""
        self._accept()
        arrivals, why = self._arrived()
        if why:
            self._trouble = why
            self._hang_up()
        return arrivals

    def filenos(self) -> Sequence[int]:
        """The listening and the connected socket."""
        return [one.fileno() for one in (self._listening, self._connection) if one is not None]

    def health(self) -> TransportHealth:
        """Connected, or why not."""
        is_open = self._connection is not None
        text = f"connected to {self._peer}" if is_open else f"not connected: {self._trouble}"
        return TransportHealth(is_open, text, self._drops, self._connections)

    def close(self) -> None:
        """Close both sockets."""
        self._hang_up()
        if self._listening is not None:
            self._listening.close()
            self._listening = None

    def _accept(self) -> None:
        for _ in range(MOST_ACCEPTED):
            if self._listening is None:
                return
            try:
                accepted, address = self._listening.accept()
            except OSError:  # nobody is there, or is gone already
                return
            if self._only_from not in (None, address[0]):
                accepted.close()
                self._drops[OTHER_SENDER] += 1
                continue
            self._hang_up()
            self._take(accepted)
            self._peer = str(address[0])

    def _hang_up(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None
