"""Datagrams over UDP."""

from __future__ import annotations

import ipaddress
import socket
import sys
from collections import Counter, deque
from collections.abc import Callable, Sequence

from panelbridge.config.links.addresses import LOOPBACK, is_loopback
from panelbridge.config.links.transports import UdpLink
from panelbridge.feeds.transports.lookup import Endpoint, Lookup, numeric_endpoint
from panelbridge.feeds.transports.socket_errors import listening_error
from panelbridge.feeds.transports.transport import (
    MOST_ARRIVALS,
    NOBODY,
    OTHER_SENDER,
    SYSTEM_BUFFER,
    TOO_MANY,
    Arrival,
    TransportHealth,
)
from panelbridge.link.ports.failure_text import failure_text
from panelbridge.link.session.reconnect import BackOff

MOST_DRAINED = 512
"""Most datagrams taken from the system in one reading: more than its usual buffer holds."""
LONGEST = 65_535
_ASK_S = 1.0
"""How often the system is asked how many datagrams it has dropped, s."""
_RXQ_OVFL = 40
"""Linux: each datagram comes with the number of those dropped before it."""


class UdpTransport:
    """Receives datagrams at a port, or sends them to one, or both.

    What a flood leaves in the system's buffer is taken out, and the newest of it are kept. A socket
    that only sends takes answers from the address to which it sends.

    Args:
        keys: the file's description.
        wake: ends the engine's wait.
    """

    is_stream = False

    def __init__(self, keys: UdpLink, wake: Callable[[], None]) -> None:
        self._keys = keys
        self._wake = wake
        port = keys.listen_port if keys.listen_port is not None else keys.port
        host = keys.listen_address if keys.listen_port is not None else keys.host
        self.name = f"UDP {host}:{port}"
        self._drops = Counter[str]()
        self._socket: socket.socket | None = None
        self._out: socket.socket | None = None
        self._lookup: Lookup | None = None
        self._peer: Endpoint | None = None
        self._back_off = BackOff()
        self._due_s = 0.0
        self._trouble = ""
        self._ask_due_s = 0.0
        self._dropped_by_system = 0
        self._only_from = str(ipaddress.ip_address(keys.only_from)) if keys.only_from else None

    def open(self, now_s: float) -> None:
        """Bind the port. Raises: FeedError, when it cannot be had."""
        keys = self._keys
        if keys.listen_port is not None:
            here = numeric_endpoint(keys.listen_address, keys.listen_port)
            try:
                self._socket = _bound(here)
            except OSError as error:
                raise listening_error(
                    error, self.name, keys.listen_address, keys.listen_port
                ) from error
        self._find_peer(now_s)

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come; the newest when it is too much."""
        self._find_peer(now_s)
        kept: deque[Arrival] = deque(maxlen=MOST_ARRIVALS)
        count = 0
        for port in self._ports():
            count += self._drain(now_s, port, kept)
        if count > MOST_ARRIVALS:
            self._drops[TOO_MANY] += count - MOST_ARRIVALS
        return kept

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        """Send one datagram; nobody can say whether it is taken."""
        if self._out is None or self._peer is None:
            self._drops[NOBODY] += 1
            return False
        try:
            self._out.sendto(data, self._peer.address)
        except OSError as error:
            self._trouble = failure_text(error)
            self._drops[NOBODY] += 1
            return False
        self._trouble = ""
        return True

    def filenos(self) -> Sequence[int]:
        """The sockets."""
        return [port.fileno() for port in self._ports()]

    def health(self) -> TransportHealth:
        """Open, unless the computer to send to is not known."""
        waits = self._keys.port is not None and self._peer is None
        text = self._trouble or ("its name is looked up" if waits else "open")
        is_open = not waits and bool(self.filenos())
        return TransportHealth(is_open, text, self._drops, int(is_open))

    def close(self) -> None:
        """Close the sockets."""
        for port in self._ports():
            port.close()
        self._socket = self._out = self._peer = None

    def _ports(self) -> list[socket.socket]:
        """The open sockets: one, or one for each direction."""
        both = [self._socket] if self._socket is self._out else [self._socket, self._out]
        return [port for port in both if port is not None]

    def _drain(self, now_s: float, port: socket.socket, kept: deque[Arrival]) -> int:
        """Take what is there; how many were of the right sender."""
        count = 0
        if now_s >= self._ask_due_s and port is self._socket and sys.platform == "linux":
            self._ask_due_s = now_s + _ASK_S
            count = self._receive_counted(port, kept)
        only_from = self._only_from
        if port is not self._socket and self._peer is not None:
            only_from = self._peer.address[0]
        for _ in range(MOST_DRAINED):
            try:
                if only_from is None:
                    data = port.recv(LONGEST)
                else:
                    data, sender = port.recvfrom(LONGEST)
                    if sender[0] != only_from:
                        self._drops[OTHER_SENDER] += 1
                        continue
            except (BlockingIOError, InterruptedError):
                break
            except OSError:  # Windows: what was sent before came back, or was too long
                continue
            count += 1
            kept.append(Arrival(data))
        return count

    def _receive_counted(self, port: socket.socket, kept: deque[Arrival]) -> int:
        """Take one datagram with the system's count of those that it has dropped."""
        try:
            data, extras, _, sender = port.recvmsg(LONGEST, 64)
        except OSError:
            return 0
        for level, kind, value in extras:
            if (level, kind) == (socket.SOL_SOCKET, _RXQ_OVFL):
                total = int.from_bytes(value, sys.byteorder)
                # It has 32 bits, and begins again.
                lost = (total - self._dropped_by_system) & 0xFFFF_FFFF
                self._dropped_by_system = total
                if lost:
                    self._drops[SYSTEM_BUFFER] += lost
        if self._only_from not in (None, sender[0]):
            self._drops[OTHER_SENDER] += 1
            return 0
        kept.append(Arrival(data))
        return 1

    def _find_peer(self, now_s: float) -> None:
        """Look up the computer to send to, again and again until it is known."""
        keys = self._keys
        if keys.port is None or self._peer is not None:
            return
        if self._lookup is None:
            if now_s < self._due_s:
                return
            self._lookup = Lookup(keys.host, keys.port, self._wake)
        found = self._lookup.result()
        if found is None:
            return
        self._lookup = None
        if isinstance(found, OSError):
            self._trouble = failure_text(found, keys.host)
            self._due_s = now_s + self._back_off.take_s()
            return
        self._peer, self._trouble = found, ""
        self._out = self._socket if self._can_share(found) else _sending(found)

    def _can_share(self, peer: Endpoint) -> bool:
        """The listening socket can send there, so that the peer sees the port as the sender's."""
        if self._socket is None or self._socket.family != peer.family:
            return False
        return not is_loopback(self._keys.listen_address) or is_loopback(peer.address[0])


def _bound(here: Endpoint) -> socket.socket:
    port = socket.socket(here.family, socket.SOCK_DGRAM)
    try:
        port.setblocking(False)
        exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", None)
        if exclusive is not None:
            port.setsockopt(socket.SOL_SOCKET, exclusive, 1)
        if sys.platform == "linux":
            port.setsockopt(socket.SOL_SOCKET, _RXQ_OVFL, 1)
        port.bind(here.address)
    except OSError:
        port.close()
        raise
    return port


def _sending(peer: Endpoint) -> socket.socket:
    """A socket that sends to ``peer``; not connected, for that raises when nobody listens."""
    port = socket.socket(peer.family, socket.SOCK_DGRAM)
    port.setblocking(False)
    if is_loopback(peer.address[0]):
        port.bind((LOOPBACK if peer.family == socket.AF_INET else "::1", 0))
    return port
