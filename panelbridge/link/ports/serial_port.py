"""The shared part of the wrappers of pyserial's ports, which raise ``LinkLost`` and nothing else.

``DescriptorPort``  native ports on POSIX: reads and writes the descriptor itself, never blocks.
``InProcessPort``   boards that are simulated in this process.
``ThreadedPort``    everything else (Windows, sockets, remote ports): a reader thread.
"""

from __future__ import annotations

from serial import Serial

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
