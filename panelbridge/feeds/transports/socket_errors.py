"""Why a port of this computer cannot be had for listening."""

from __future__ import annotations

import errno

from panelbridge.errors import FeedError
from panelbridge.link.ports.failure_text import failure_text


def listening_error(error: OSError, name: str, address: str, port: int) -> FeedError:
    """Why a port of this computer cannot be had."""
    if error.errno == errno.EADDRINUSE:
        what = f"port {port} is taken: another program, or a second run of this one, listens there"
        return FeedError(what, name, "close it, or use another port here and in the simulator")
    if error.errno == errno.EADDRNOTAVAIL:
        hint = "write 127.0.0.1 for this computer alone, 0.0.0.0 for all of its addresses"
        return FeedError(f"this computer has no address {address}", name, hint)
    if error.errno == errno.EACCES:
        hint = (
            "use a port from 1024 on, and on Windows none that it has reserved:"
            " netsh interface ipv4 show excludedportrange udp (or tcp)"
        )
        return FeedError(f"no permission to listen at port {port}", name, hint)
    return FeedError(f"port {port} cannot be used: {failure_text(error)}", name)
