"""A port that cannot be polled (Windows, sockets, remote ports): a reader thread waits for bytes.

It hands them over in a queue and wakes the engine. Only that thread closes the port.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue

from serial import Serial

from panelbridge.errors import LinkLost
from panelbridge.link.ports.port_errors import is_port_failure, link_lost
from panelbridge.link.ports.serial_port import READ_SIZE, SerialPort, close_quietly

THREAD_READ_WAIT_S = 0.1
"""Read time-out of the reader thread, s: its longest wait before it sees a request to stop."""
JOIN_WAIT_S = 1.0
"""Longest wait for the reader thread to close the port, s."""


class ThreadedPort(SerialPort):
    """Bytes through a reader thread.

    A write happens in the caller's thread and is limited by the port's write time-out.

    Args:
        url: name of the port, for messages.
        serial: the open port, with a read time-out of ``THREAD_READ_WAIT_S``.
        wake: called in the reader thread when bytes have come or the port is lost; or None.
    """

    def __init__(self, url: str, serial: Serial, wake: Callable[[], None] | None) -> None:
        super().__init__(url, serial)
        self._wake = wake or (lambda: None)
        self._queue: SimpleQueue[bytes] = SimpleQueue()
        self._lost: LinkLost | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._run, name=f"panelbridge reader {url}", daemon=True
        )
        self._thread.start()

    def read(self) -> bytes:
        """All bytes that have come; LinkLost is raised only after the last of them."""
        pieces = []
        with contextlib.suppress(Empty):
            while True:
                pieces.append(self._queue.get_nowait())
        if pieces:
            return b"".join(pieces)
        if self._lost is not None and self._queue.empty():
            raise self._lost
        return b""

    def write(self, data: bytes) -> None:
        """Send ``data``. Raises: LinkLost."""
        if self._lost is not None:
            raise self._lost
        try:
            self._serial.write(data)
        except Exception as error:  # termios.error and more
            if not is_port_failure(error):
                raise
            raise link_lost(self._url, error) from error

    def close(self) -> None:
        """Ask the reader thread to close the port and wait for it, within bounds; never raises."""
        self._stop.set()
        cancel_read = getattr(self._serial, "cancel_read", None)
        if cancel_read is not None:
            with contextlib.suppress(OSError, TypeError, ValueError, AttributeError):
                cancel_read()
        if threading.current_thread() is not self._thread:
            self._thread.join(JOIN_WAIT_S)

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                data = self._read_some()
                if data:
                    self._queue.put(data)
                    self._wake()
        except Exception as error:  # noqa: BLE001 - an unplug shows itself in many ways
            if not self._stop.is_set():
                self._lost = link_lost(self._url, error)
                self._wake()
        finally:
            close_quietly(self._serial)

    def _read_some(self) -> bytes:
        serial = self._serial
        data = bytes(serial.read(serial.in_waiting or 1))
        # Some ports report only that bytes are there, not how many: read on until none is.
        while data and len(data) < READ_SIZE and (count := serial.in_waiting):
            data += bytes(serial.read(count))
        return data
