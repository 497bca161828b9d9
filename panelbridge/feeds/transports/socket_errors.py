"""Failures of sockets in plain words."""

from __future__ import annotations

import errno
import os
import socket

from panelbridge.errors import FeedError

_NO_WAY = {errno.EHOSTUNREACH, errno.ENETUNREACH, errno.EHOSTDOWN, errno.ENETDOWN}


def failure_text(error: OSError, host: str = "") -> str:
    """Why something is not connected.

    Args:
        error: what was raised.
        host: the other computer, for names that are not known.
    """
    if isinstance(error, socket.gaierror):
        return f"the name '{host}' is not known in this network"
    if isinstance(error, ConnectionRefusedError):
        return "no program listens there"
    if isinstance(error, TimeoutError):
        return "there is no answer"
    if isinstance(error, ConnectionError):
        return "the other side broke the connection"
    if error.errno in _NO_WAY:
        return "there is no way to it in this network"
    return os.strerror(error.errno) if error.errno else str(error)


def listening_error(error: OSError, name: str, address: str, port: int) -> FeedError:
    """Why a port of this computer cannot be had."""
    if error.errno == errno.EADDRINUSE:
        what = f"port {port} is taken: another program, or a second run of this one, listens there"
        return FeedError(what, name, "close it, or use another port here and in the simulator")
    if error.errno == errno.EADDRNOTAVAIL:
        hint = "write 127.0.0.1 for this computer alone, 0.0.0.0 for all of its addresses"
        return FeedError(f"this computer has no address {address}", name, hint)
    if error.errno == errno.EACCES:
        hint = "use a port from 1024 on"
        return FeedError(f"no permission to listen at port {port}", name, hint)
    return FeedError(f"port {port} cannot be used: {failure_text(error)}", name)
