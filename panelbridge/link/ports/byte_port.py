"""Opening a port by its URL with pyserial.

``COM5`` and ``/dev/ttyACM0`` are native ports; ``socket://host:port``, ``rfc2217://host:port`` and
``loop://`` are pyserial's own; ``simboard://name`` is a board that is simulated in this process.

Opening raises the line DTR, as boards with USB of their own need; it resets boards with a separate
serial chip, whose hello then has to be waited for.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from typing import Any, Protocol
from urllib.parse import urlsplit

import serial

from panelbridge.clock import Clock, LiveClock
from panelbridge.errors import LinkError, PortMissing
from panelbridge.link.ports.failure_text import error_number
from panelbridge.link.ports.port_errors import is_port_failure, open_failure
from panelbridge.link.ports.serial_port import WRITE_WAIT_S, DescriptorPort, InProcessPort
from panelbridge.link.ports.threaded_port import THREAD_READ_WAIT_S, ThreadedPort

IN_PROCESS_SCHEME = "simboard://"
_NETWORK_SCHEMES = ("socket://", "rfc2217://")
SIMBOARD_HANDLERS = "panelbridge.simboard"
"""Package with the URL handler of ``simboard://``; pyserial imports it when one is opened."""
_PTY_BAUD = 115_200

if SIMBOARD_HANDLERS not in serial.protocol_handler_packages:
    serial.protocol_handler_packages.append(SIMBOARD_HANDLERS)


class BytePort(Protocol):
    """An open port. Reading never blocks; each call raises LinkLost or nothing."""

    def read(self) -> bytes:
        """All bytes that have come; empty when there are none. Raises: LinkLost."""
        ...

    def write(self, data: bytes) -> None:
        """Send all of ``data``. Raises: LinkLost."""
        ...

    def close(self) -> None:
        """Close the port; never raises; may be called twice."""
        ...

    def fileno(self) -> int | None:
        """A descriptor that ``select`` can wait on; None when there is none."""
        ...


def is_in_process(url: str) -> bool:
    """Whether the port's other side is in this process, so that opening it cannot block."""
    return url.lower().startswith(IN_PROCESS_SCHEME)


def open_port(
    url: str,
    baud: int,
    *,
    wake: Callable[[], None] | None = None,
    clock: Clock | None = None,
    threaded: bool = False,
) -> BytePort:
    """Open the port ``url``; may block (a socket, a radio link on Windows).

    Args:
        url: name or URL of the port.
        baud: speed of the line, bit/s; ports without one ignore it.
        wake: called from a reader thread, where there is one, when bytes have come.
        clock: real time for the write time-out; the machine's when None.
        threaded: use the reader thread even where the port can be polled.

    Raises:
        PortMissing: no such port, or a URL of an unknown kind.
        PortBusy: another program holds it, or no permission.
    """
    if url.lower().startswith(_NETWORK_SCHEMES):
        _check_address(url)
    polled = is_in_process(url)
    descriptor = not polled and not threaded and os.name == "posix"
    try:
        # The read time-out is set only here: on Windows each change configures the port again.
        opened = _open_serial(url, baud, 0 if polled else THREAD_READ_WAIT_S)
        if polled:
            return InProcessPort(url, opened)
        if descriptor and isinstance(opened, serial.Serial):
            return DescriptorPort(url, opened, clock if clock is not None else LiveClock())
        return ThreadedPort(url, opened, wake)
    except Exception as error:  # termios.error and more: sorted below
        # From a board in this process a TypeError and the like is a defect, not an unplug.
        ours = polled and not isinstance(error, OSError | ValueError)
        if ours or isinstance(error, LinkError) or not is_port_failure(error):
            raise
        raise open_failure(url, error) from error


def _check_address(url: str) -> None:
    """Check an address before pyserial does: of one without a port it says nothing readable."""
    try:
        parts = urlsplit(url)
        complete = bool(parts.hostname and parts.port)
    except ValueError:  # a port that is no number from 0 to 65535
        complete = False
    if not complete:
        scheme = url.partition("://")[0]
        what = "the address needs a host and a port from 1 to 65535"
        raise PortMissing(what, url, f"write {scheme}://HOST:PORT, as in {scheme}://10.0.0.7:5000")


def _open_serial(url: str, baud: int, timeout_s: float) -> serial.Serial:
    options: dict[str, Any] = {"timeout": timeout_s, "write_timeout": WRITE_WAIT_S}
    if "://" in url:
        return serial.serial_for_url(url, baudrate=baud, **options)
    options["exclusive"] = True  # Windows always is; elsewhere it must be requested
    try:
        return _open_native(url, baudrate=baud, **options)
    except (OSError, ValueError) as error:
        # Pseudo-terminals of some systems refuse non-standard speeds, and need none.
        if baud == _PTY_BAUD or not _speed_refused(error):
            raise
        return _open_native(url, baudrate=_PTY_BAUD, **options)


def _open_native(url: str, **options: Any) -> serial.Serial:
    if os.name != "posix":
        return serial.Serial(url, **options)
    from panelbridge.link.ports.native_serial import NativeSerial

    return NativeSerial(url, **options)


def _speed_refused(error: Exception) -> bool:
    return error_number(error) == errno.ENOTTY or "baud rate" in str(error)
