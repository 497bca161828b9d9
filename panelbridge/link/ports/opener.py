"""Opening a port without holding anybody up.

A socket's other side may not answer, a radio link on Windows takes seconds: so each opening runs
in a short-lived thread of its own and is looked at from the engine. Ports in this process open at
once.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Protocol

from panelbridge.clock import Clock
from panelbridge.errors import LinkError
from panelbridge.link.ports.byte_port import BytePort, is_in_process, open_port


class Opening(Protocol):
    """A port that is being opened."""

    def result(self) -> BytePort | LinkError | None:
        """The open port, why it could not be opened, or None while it is under way."""
        ...

    def abandon(self) -> None:
        """Nobody waits for it any more: close the port as soon as it is open."""
        ...


class Opener(Protocol):
    """Starts to open a port."""

    def __call__(self, url: str, baud: int) -> Opening:
        """Start to open ``url`` at ``baud`` bit/s; returns at once and raises nothing."""
        ...


class PortOpener:
    """Opens real ports.

    Args:
        wake: ends the engine's wait; called from other threads.
        clock: real time for write time-outs; the machine's when None.
        threaded: read with a thread even where the port can be polled.
    """

    def __init__(
        self,
        wake: Callable[[], None] | None = None,
        clock: Clock | None = None,
        *,
        threaded: bool = False,
    ) -> None:
        self._wake = wake
        self._clock = clock
        self._threaded = threaded

    def __call__(self, url: str, baud: int) -> Opening:
        """Start to open ``url`` at ``baud`` bit/s."""

        def open_it() -> BytePort:
            return open_port(url, baud, wake=self._wake, clock=self._clock, threaded=self._threaded)

        if is_in_process(url):
            return _Opened(open_it)
        return _OpeningThread(url, open_it, self._wake)


class _Opened:
    """An opening that was over at once."""

    def __init__(self, open_it: Callable[[], BytePort]) -> None:
        self._result: BytePort | LinkError
        try:
            self._result = open_it()
        except LinkError as error:
            self._result = error

    def result(self) -> BytePort | LinkError:
        """The open port, or why it could not be opened."""
        return self._result

    def abandon(self) -> None:
        """Close the port."""
        if not isinstance(self._result, LinkError):
            self._result.close()


class _OpeningThread:
    """An opening in a thread of its own, which ends with it."""

    def __init__(
        self, url: str, open_it: Callable[[], BytePort], wake: Callable[[], None] | None
    ) -> None:
        self._open_it = open_it
        self._wake = wake
        self._lock = threading.Lock()
        self._result: BytePort | LinkError | None = None
        self._mistake: Exception | None = None
        self._abandoned = False
        self._thread = threading.Thread(
            target=self._run, name=f"panelbridge opener {url}", daemon=True
        )
        self._thread.start()

    def result(self) -> BytePort | LinkError | None:
        """The open port, why it could not be opened, or None while it is under way."""
        with self._lock:
            if self._mistake is not None:
                raise self._mistake
            return self._result

    def abandon(self) -> None:
        """Close the port now or, when it is still being opened, as soon as it is open."""
        with self._lock:
            self._abandoned = True
            result = self._result
        if result is not None and not isinstance(result, LinkError):
            result.close()

    def _run(self) -> None:
        result: BytePort | LinkError | None = None
        mistake: Exception | None = None
        try:
            result = self._open_it()
        except LinkError as error:
            result = error
        except Exception as error:  # noqa: BLE001 - comes out in the engine's thread, not here
            mistake = error
        with self._lock:
            self._result = result
            self._mistake = mistake
            abandoned = self._abandoned
        if abandoned and result is not None and not isinstance(result, LinkError):
            result.close()
        elif self._wake is not None:
            self._wake()
