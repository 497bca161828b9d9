"""A native port on POSIX: reads and writes its file descriptor and never blocks."""

from __future__ import annotations

import contextlib
import os

from serial import Serial

from panelbridge.clock import Clock
from panelbridge.link.ports.port_errors import link_lost
from panelbridge.link.ports.serial_port import READ_SIZE, WRITE_WAIT_S, SerialPort

UNSENT_LIMIT = 4096
"""Most bytes that may wait to be written."""


class DescriptorPort(SerialPort):
    """Bytes through a non-blocking file descriptor.

    Args:
        url: name of the port, for messages.
        serial: the open port; its descriptor is used, its own reading and writing is not.
        clock: real time, for the write time-out.
    """

    def __init__(self, url: str, serial: Serial, clock: Clock) -> None:
        super().__init__(url, serial)
        self._clock = clock
        self._fd = int(serial.fileno())
        self._unsent = b""
        self._stuck_since_s = 0.0
        os.set_blocking(self._fd, False)
        _make_empty_read_mean_hang_up(self._fd)

    def fileno(self) -> int | None:
        """The descriptor, for ``select``."""
        return self._fd

    def read(self) -> bytes:
        """All bytes that are there. Raises: LinkLost."""
        if self._unsent:
            self.write(b"")
        try:
            data = os.read(self._fd, READ_SIZE)
        except (BlockingIOError, InterruptedError):
            return b""
        except OSError as error:
            raise link_lost(self._url, error) from error
        if not data:
            raise link_lost(self._url, OSError("the line was hung up"))
        return data

    def write(self, data: bytes) -> None:
        """Send ``data``; what the port does not take now goes with the next call.

        Raises:
            LinkLost: the port is gone, or has taken nothing for ``WRITE_WAIT_S``.
        """
        waiting = self._unsent
        if waiting:
            data = waiting + data
        try:
            sent = os.write(self._fd, data)
        except (BlockingIOError, InterruptedError):
            sent = 0
        except OSError as error:
            raise link_lost(self._url, error) from error
        if sent == len(data):
            self._unsent = b""
            return
        now_s = self._clock.now()
        if sent or not waiting:
            self._stuck_since_s = now_s
        self._unsent = data[sent:]
        if now_s - self._stuck_since_s > WRITE_WAIT_S or len(self._unsent) > UNSENT_LIMIT:
            raise link_lost(self._url, OSError("it takes no bytes any more"))


def _make_empty_read_mean_hang_up(fd: int) -> None:
    """Set VMIN to 1: pyserial's VMIN 0 makes an idle line and a dead line look the same."""
    import termios

    with contextlib.suppress(termios.error):
        attributes = termios.tcgetattr(fd)
        attributes[6][termios.VMIN] = 1
        attributes[6][termios.VTIME] = 0
        termios.tcsetattr(fd, termios.TCSANOW, attributes)
