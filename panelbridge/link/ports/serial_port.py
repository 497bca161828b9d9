"""The shared part of the wrappers of pyserial's ports, which raise ``LinkLost`` and nothing else.

``DescriptorPort``  native ports on POSIX: reads and writes the descriptor itself, never blocks.
``InProcessPort``   boards that are simulated in this process.
``ThreadedPort``    everything else (Windows, sockets, remote ports): a reader thread.
"""

from __future__ import annotations

from serial import Serial

from panelbridge.link.ports.port_errors import is_port_failure

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
