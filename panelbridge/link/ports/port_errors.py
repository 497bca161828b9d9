"""Errors of pyserial and the system, as PortMissing, PortBusy or LinkLost.

An unplugged port shows up in many ways: ``SerialException`` ("ClearCommError failed" and
"Write timeout" among them), plain ``OSError``, ``termios.error`` (which is no OSError),
``TypeError``, ``ValueError`` or ``AttributeError`` (a port that is closed while another thread
reads it). On Windows ``errno`` is empty and only the text names the cause.
"""

from __future__ import annotations

import errno
import os
import sys

from panelbridge.errors import LinkError, LinkLost, PortBusy, PortMissing
from panelbridge.link.ports.failure_text import ABSENT, BUSY, DENIED, error_number, failure_text
from panelbridge.link.ports.link_owner import BOARD_ENDED, owner_has_ended, start_again_hint

_NO_PORT = frozenset({errno.ENOTTY, errno.EISDIR, errno.EINVAL})


def is_port_failure(error: BaseException) -> bool:
    """Whether ``error`` is one of the ways in which a port goes away."""
    if isinstance(error, OSError | TypeError | ValueError | AttributeError):
        return True
    kind = type(error)  # no termios on Windows, so its error is recognised by name
    return kind.__module__ == "termios" and kind.__name__ == "error"


def link_lost(url: str, error: BaseException) -> LinkLost:
    """The port went away while it was open."""
    if os.name == "posix" and owner_has_ended(url):
        return LinkLost(BOARD_ENDED, url, start_again_hint(url))
    return LinkLost(
        f"the port went away: {failure_text(error)}",
        url,
        "check the cable and the plug; the port is reopened as soon as it is back",
    )


def open_failure(url: str, error: BaseException) -> LinkError:
    """Why a port could not be opened, with a hint. May list the ports that exist (slow)."""
    text = str(error)
    number = error_number(error)
    if number in DENIED and sys.platform != "win32":
        return PortBusy(
            "no permission to open the port",
            url,
            "add yourself to the group that owns it, then log in again:"
            " sudo usermod -aG dialout $USER (the group is uucp on some systems)",
        )
    if number in BUSY or "PermissionError" in text or "Access is denied" in text:
        return PortBusy(
            "another program holds the port",
            url,
            "close it there: a serial monitor, an upload tool, or a second run of this program",
        )
    return _missing(url, error, number, text)


def _missing(url: str, error: BaseException, number: int | None, text: str) -> PortMissing:
    what = f"the port cannot be opened: {failure_text(error)}"
    if isinstance(error, ValueError) and "protocol" in text:
        return PortMissing(
            "this kind of port is unknown",
            url,
            "a port looks like COM5, /dev/ttyACM0, socket://host:port or simboard://name",
        )
    if isinstance(error, OSError) and number in ABSENT and "://" in url:
        what = f"the port is not there: {error.strerror}"
        return PortMissing(what, url, "plug the board in, or check the name")
    if "://" in url:
        return PortMissing(what, url, "check the address, and that its other side is running")
    if number in ABSENT or "FileNotFoundError" in text:
        what = "there is no such port"
    elif number in _NO_PORT:
        what = "this is not a serial port"
    return PortMissing(what, url, ports_hint())


def ports_hint() -> str:
    """The serial ports that exist, as a hint. Can take seconds on Windows."""
    from serial.tools import list_ports

    try:
        ports = sorted(list_ports.comports())
    except (OSError, ValueError):  # a device vanished during the listing
        ports = []
    # On Linux the fixed ports of the mainboard are listed whether or not they are there.
    real = [port for port in ports if port.description not in ("n/a", None)] or ports[:8]
    if not real:
        return "no serial port exists: plug the board in, with a cable that carries data"
    names = ", ".join(
        f"{port.device} ({port.description})" if port.description != "n/a" else port.device
        for port in real
    )
    return f"plug the board in, or name one of the ports that exist: {names}"
