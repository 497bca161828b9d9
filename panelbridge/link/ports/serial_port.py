"""The part of pyserial's ports that this package uses.

``open_port`` wraps one in a ``BytePort``, which raises ``LinkLost`` and nothing else:

``DescriptorPort``  native ports on POSIX: reads and writes the descriptor itself, never blocks.
``InProcessPort``   boards that are simulated in this process.
``ThreadedPort``    everything else (Windows, sockets, remote ports): a reader thread.
"""

from __future__ import annotations

from typing import Protocol

from panelbridge.link.ports.port_errors import is_port_failure

WRITE_WAIT_S = 0.5
"""Write time-out, s: a port that takes no byte for longer is lost."""
READ_SIZE = 4096
"""Most bytes read at once."""


class SerialPort(Protocol):
    """The part of a pyserial port that is used."""

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
    """Close a port that may be gone."""
    try:
        serial.close()
    except Exception as error:  # closing what is gone fails in many ways
        if not is_port_failure(error):
            raise
