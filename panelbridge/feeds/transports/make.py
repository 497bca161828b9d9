"""Transports from the keys of a feed file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from panelbridge.config.links.transports import (
    AnyTransportKeys,
    SerialLink,
    TcpLink,
    TcpServerLink,
    UdpLink,
)
from panelbridge.feeds.transports.mqtt import MqttTransport
from panelbridge.feeds.transports.serial_line import SerialLine
from panelbridge.feeds.transports.tcp_client import TcpClient
from panelbridge.feeds.transports.tcp_server import TcpServer
from panelbridge.feeds.transports.transport import Transport
from panelbridge.feeds.transports.udp import UdpTransport
from panelbridge.link.ports import PortOpener


def make_transport(
    keys: AnyTransportKeys, wake: Callable[[], None], folder: Path | None = None
) -> Transport:
    """The transport that ``keys`` describe.

    Args:
        keys: the file's description.
        wake: ends the engine's wait; may be called in other threads.
        folder: from where relative paths in the file count; the current folder when None.
    """
    if isinstance(keys, UdpLink):
        return UdpTransport(keys, wake)
    if isinstance(keys, TcpLink):
        return TcpClient(keys, wake)
    if isinstance(keys, TcpServerLink):
        return TcpServer(keys)
    if isinstance(keys, SerialLink):
        return SerialLine(keys, PortOpener(wake))
    return MqttTransport(keys, wake, folder or Path())
