"""Three ways to move bytes through an open pyserial port, behind one face.

``FdPump``     native ports on POSIX: reads and writes the descriptor itself, never blocks.
``PolledPump`` boards that are simulated in this process: their bytes are there or not.
``ThreadPump`` everything else (Windows, sockets, remote ports): a reader thread waits for bytes,
               hands them over a queue and wakes the engine; that thread alone closes the port.

All of them raise ``LinkLost`` and nothing else.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Protocol

from panelbridge.clock import Clock
from panelbridge.errors import LinkLost
from panelbridge.link.port_errors import is_port_failure, link_lost

WRITE_WAIT_S = 0.5
"""A port that takes no byte for so long is lost."""
UNSENT_LIMIT = 4096
"""Most bytes that wait for a port to take them."""
READ_SIZE = 4096
THREAD_READ_WAIT_S = 0.1
"""The reader thread looks this often whether it shall stop, s."""
JOIN_WAIT_S = 1.0


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


class FdPump:
    """Bytes through a non-blocking file descriptor.

    Args:
        url: name of the port, for messages.
        serial: the open port; its descriptor is used, its own reading and writing is not.
        clock: real time, for the write time-out.
    """

    def __init__(self, url: str, serial: SerialPort, clock: Clock) -> None:
        self._url = url
        self._serial = serial
        self._clock = clock
        self._fd = int(serial.fileno())
        self._unsent = b""
        self._stuck_since_s = 0.0
        os.set_blocking(self._fd, False)
        _end_of_file_means_gone(self._fd)

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

    def close(self) -> None:
        """Close the port; never raises."""
        _close_quietly(self._serial)


class PolledPump:
    """Bytes of a board that is simulated in this process.

    Only OSError (with pyserial's SerialException) means loss here: anything else is a mistake of
    our own and comes out.
    """

    def __init__(self, url: str, serial: SerialPort) -> None:
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
        _close_quietly(self._serial)


class ThreadPump:
    """Bytes through a reader thread.

    A write happens in the caller's thread and is bounded by the port's write time-out.

    Args:
        url: name of the port, for messages.
        serial: the open port, with a read time-out of ``THREAD_READ_WAIT_S``.
        wake: called in the reader thread when bytes or an end have come; may be None.
    """

    def __init__(self, url: str, serial: SerialPort, wake: Callable[[], None] | None) -> None:
        self._url = url
        self._serial = serial
        self._wake = wake
        self._queue: SimpleQueue[bytes] = SimpleQueue()
        self._lost: LinkLost | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._run, name=f"panelbridge reader {url}", daemon=True
        )
        self._thread.start()

    def fileno(self) -> int | None:
        """None: the thread waits, not ``select``."""
        return None

    def read(self) -> bytes:
        """All bytes that have come; those before an end come before its LinkLost."""
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
        except Exception as error:  # termios.error and more: sorted out below
            raise self._as_lost(error) from error

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
                    self._tell()
        except Exception as error:  # noqa: BLE001 - an unplug shows itself in many ways
            if not self._stop.is_set():
                self._lost = link_lost(self._url, error)
                self._tell()
        finally:
            _close_quietly(self._serial)

    def _read_some(self) -> bytes:
        serial = self._serial
        data = bytes(serial.read(serial.in_waiting or 1))
        # Some ports say only that there is something: go on until there is nothing.
        while data and len(data) < READ_SIZE and (count := serial.in_waiting):
            data += bytes(serial.read(count))
        return data

    def _as_lost(self, error: Exception) -> LinkLost:
        if not is_port_failure(error):
            raise error
        return link_lost(self._url, error)

    def _tell(self) -> None:
        if self._wake is not None:
            self._wake()


def _close_quietly(serial: SerialPort) -> None:
    try:
        serial.close()
    except Exception as error:  # closing what is gone fails in many ways
        if not is_port_failure(error):
            raise


def _end_of_file_means_gone(fd: int) -> None:
    """Have an empty read mean a hung-up line.

    pyserial asks for VMIN 0, with which a read of nothing and a read of a dead line look the same.
    """
    import termios

    with contextlib.suppress(termios.error):
        attributes = termios.tcgetattr(fd)
        attributes[6][termios.VMIN] = 1
        attributes[6][termios.VTIME] = 0
        termios.tcsetattr(fd, termios.TCSANOW, attributes)
