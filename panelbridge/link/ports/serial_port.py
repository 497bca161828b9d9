"""pyserial's ports as the pumps use them.

A pump moves bytes through an open port; ``open_port`` takes the one that fits. All three look alike
and raise ``LinkLost`` and nothing else:

``FdPump``     native ports on POSIX: reads and writes the descriptor itself, never blocks.
``PolledPump`` boards that are simulated in this process: their bytes are there or not.
``ThreadPump`` everything else (Windows, sockets, remote ports): a reader thread waits for bytes.
"""

from __future__ import annotations

from typing import Protocol

from panelbridge.link.ports.port_errors import is_port_failure

WRITE_WAIT_S = 0.5
"""A port that takes no byte for so long is lost."""
READ_SIZE = 4096
"""Most bytes that are read at once."""


class SerialPort(Protocol):
    """What is used of pyserial's ports."""

    @property
    def in_waiting(self) -> int:
        """Number of bytes that have come."""
        ...

    def read(self, size: int = ..., /) -> bytes:
        """Up to ``size`` bytes."""
        ...

    def write(self, data: bytes, /) -> int | None:
        """Send bytes."""
        ...

    def fileno(self) -> int:
        """The descriptor, of ports that have one."""
        ...

    def close(self) -> None:
        """Close the port."""
        ...


def close_quietly(serial: SerialPort) -> None:
    """Close the port, which may be gone."""
    try:
        serial.close()
    except Exception as error:  # closing what is gone fails in many ways
        if not is_port_failure(error):
            raise
