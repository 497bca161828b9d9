"""Wrappers of pyserial's ports, which raise ``LinkLost`` and nothing else.

``DescriptorPort``  native ports on POSIX: reads and writes the descriptor itself, never blocks.
``InProcessPort``   boards that are simulated in this process.
``ThreadedPort``    everything else (Windows, sockets, remote ports): a reader thread.
"""

from __future__ import annotations

import contextlib
import os

from serial import Serial

from panelbridge.clock import Clock
from panelbridge.link.ports.port_errors import is_port_failure, link_lost

WRITE_WAIT_S = 0.5
"""Write time-out, s: a port that takes no byte for longer is lost."""
READ_SIZE = 4096
"""Most bytes read at once."""


def close_quietly(serial: Serial) -> None:
    """Close a port that may be gone."""
    try:
        serial.close()
    except Exception as error:  # closing what is gone fails in many ways
        if not is_port_failure(error):
            raise


class SerialPort:
    """What all of them do unless they do it otherwise.

    Args:
        url: name of the port, for messages.
        serial: the open port.
    """

    def __init__(self, url: str, serial: Serial) -> None:
        self._url = url
        self._serial = serial

    def fileno(self) -> int | None:
        """None: there is nothing that ``select`` can wait on."""
        return None

    def close(self) -> None:
        """Close the port; never raises."""
        close_quietly(self._serial)


class InProcessPort(SerialPort):
    """Bytes of a board that is simulated in this process.

    Only OSError (with pyserial's SerialException) means loss here; any other error is a defect of
    this program and is raised as it is.
    """

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
