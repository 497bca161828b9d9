"""How the engine's thread waits for a time, a byte on a port, or a call from another thread."""

from __future__ import annotations

import contextlib
import select
import socket
from collections.abc import Sequence

from panelbridge.clock import Clock

_LONGEST_WAIT_S = 0.1
"""Longest single wait, s, so that a signal handler's request is seen on every system."""


class Waiter:
    """Blocks the engine's thread on the clock alone: virtual and paced time, no real ports."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock

    def wait(self, due_s: float, filenos: Sequence[int]) -> None:
        """Return when ``due_s`` has come, a port has bytes, or ``wake`` was called."""
        self._clock.sleep_until(due_s)

    def wake(self) -> None:
        """End a wait; may be called from any thread and from a signal handler."""
        self._clock.wake()

    def close(self) -> None:
        """Release the waiter's resources."""


class LiveWaiter(Waiter):
    """Waits for bytes and for the clock at once.

    Other threads wake it through a socket pair, because Windows' ``select`` takes sockets only;
    there ports have no file number, and their reader threads call ``wake``.
    """

    def __init__(self, clock: Clock) -> None:
        super().__init__(clock)
        self._wake_in, self._wake_out = socket.socketpair()
        self._wake_in.setblocking(False)
        self._wake_out.setblocking(False)
        self._wake_fileno = self._wake_in.fileno()
        # ``poll`` is faster than ``select``: its descriptors seldom change.
        self._poll = select.poll() if hasattr(select, "poll") else None
        self._filenos: tuple[int, ...] | None = None

    def wait(self, due_s: float, filenos: Sequence[int]) -> None:
        """Block until ``due_s``, a readable port in ``filenos``, or ``wake``."""
        wait_s = min(due_s - self._clock.now(), _LONGEST_WAIT_S)
        if wait_s <= 0:
            wait_s = 0.0
        if self._poll is None:
            # Without ``poll`` (Windows) ports have no file number; the sockets of feeds do.
            ready = select.select([self._wake_fileno, *filenos], (), (), wait_s)[0]
            woken = self._wake_fileno in ready
        else:
            wanted = tuple(filenos)
            if wanted != self._filenos:
                self._filenos = wanted
                self._poll = select.poll()
                for fileno in (self._wake_fileno, *wanted):
                    self._poll.register(fileno, select.POLLIN)
            woken = (self._wake_fileno, select.POLLIN) in self._poll.poll(wait_s * 1000.0)
        if woken:
            with contextlib.suppress(BlockingIOError):
                self._wake_in.recv(4096)

    def wake(self) -> None:
        """End the present wait, or the next one."""
        # OSError when full: a wake is pending anyway; when closed: the engine has ended.
        with contextlib.suppress(OSError):
            self._wake_out.send(b"\0")

    def close(self) -> None:
        """Close the socket pair."""
        self._wake_in.close()
        self._wake_out.close()
