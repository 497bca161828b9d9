"""Opening a port without blocking the engine.

A socket or a wireless port can take seconds to open, so each opening runs in a short-lived thread
and the engine polls it. Ports in this process open at once.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from concurrent.futures import Future

from panelbridge.errors import LinkError
from panelbridge.link.ports.byte_port import BytePort, is_in_process, open_port


class Opening:
    """A port that is being opened: it comes, or has come, as a future's result."""

    def __init__(self, future: Future[BytePort]) -> None:
        self._future = future

    def result(self) -> BytePort | LinkError | None:
        """The open port, the reason why it cannot be opened, or None while it is under way.

        An error in the program itself is raised here.
        """
        if not self._future.done():
            return None
        error = self._future.exception()
        return error if isinstance(error, LinkError) else self._future.result()

    def abandon(self) -> None:
        """The port is no longer wanted: close it as soon as it is open."""
        self._future.add_done_callback(_close)


Opener = Callable[[str, int], Opening]
"""Starts to open a URL at so many bit/s; returns at once and raises nothing."""


class PortOpener:
    """Opens real ports.

    Args:
        wake: ends the engine's wait; called from other threads.
    """

    def __init__(self, wake: Callable[[], None] | None = None) -> None:
        self._wake = wake

    def __call__(self, url: str, baud: int) -> Opening:
        """Start to open ``url`` at ``baud`` bit/s."""
        future: Future[BytePort] = Future()

        def open_it() -> None:
            try:
                future.set_result(open_port(url, baud, wake=self._wake))
            except Exception as error:  # noqa: BLE001 - ``Opening.result`` raises or returns it
                future.set_exception(error)

        if is_in_process(url):
            open_it()
        else:
            wake = self._wake
            if wake is not None:
                future.add_done_callback(lambda _: wake())
            name = f"panelbridge opener {url}"
            # A program that ends waits for a port with a file: it is open in a moment, and only
            # then can it be closed with the settings that it had. An address can take for ever.
            stays = os.name == "posix" and "://" not in url
            threading.Thread(target=open_it, name=name, daemon=not stays).start()
        return Opening(future)


def _close(future: Future[BytePort]) -> None:
    if future.exception() is None:
        future.result().close()
