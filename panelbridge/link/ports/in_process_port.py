"""The port of a board that is simulated in this process: nothing waits."""

from __future__ import annotations

from serial import Serial

from panelbridge.link.ports.port_errors import link_lost
from panelbridge.link.ports.serial_port import close_quietly


class InProcessPort:
    """Bytes of a board that is simulated in this process.

    Only OSError (with pyserial's SerialException) means loss here; any other error is a defect of
    this program and is raised as it is.
    """

    def __init__(self, url: str, serial: Serial) -> None:
        self._url = url
        self._serial = serial

    def fileno(self) -> int | None:
        """None: there is nothing to wait on."""
        return None

    def read(self) -> bytes:
        """All bytes that are there. Raises: LinkLost."""
        try:
            count = self._serial.in_waiting
            return bytes(self._serial.read(count)) if count else b""
        except OSError as error:
            raise link_lost(self._url, error) from error

    def write(self, data: bytes) -> None:
        """Send ``data``. Raises: LinkLost."""
        try:
            self._serial.write(data)
        except OSError as error:
            raise link_lost(self._url, error) from error

    def close(self) -> None:
        """Close the port; never raises."""
        close_quietly(self._serial)
