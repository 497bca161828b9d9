"""The addresses of other computers: names are looked up in a thread, for that can take seconds."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable
from typing import Any

from msgspec import Struct


class Endpoint(Struct, frozen=True):
    """Where something can be sent.

    Attributes:
        family: IPv4 or IPv6.
        address: as ``socket`` takes it.
    """

    family: socket.AddressFamily
    address: tuple[Any, ...]


class Lookup:
    """Looks a computer up; an address in numbers is there at once.

    Args:
        host: its name or address.
        port: the port on it.
        wake: called in the thread when the answer has come.
    """

    def __init__(self, host: str, port: int, wake: Callable[[], None]) -> None:
        self._host, self._port, self._wake = host, port, wake
        self._answer: Endpoint | OSError | None = None
        with contextlib.suppress(OSError):
            self._answer = self._ask(socket.AI_NUMERICHOST)
        if self._answer is None:
            threading.Thread(
                target=self._run, name=f"panelbridge lookup {host}", daemon=True
            ).start()

    def result(self) -> Endpoint | OSError | None:
        """The answer, or why there is none; None while it is not known yet."""
        return self._answer

    def _run(self) -> None:
        try:
            self._answer = self._ask(0)
        except OSError as error:
            self._answer = error
        except UnicodeError as error:  # a name that cannot be one
            self._answer = socket.gaierror(socket.EAI_NONAME, str(error))
        self._wake()

    def _ask(self, flags: int) -> Endpoint:
        found = socket.getaddrinfo(self._host, self._port, type=socket.SOCK_STREAM, flags=flags)
        family, _, _, _, address = min(found, key=lambda one: one[0] != socket.AF_INET)
        return Endpoint(family, address)


def numeric_endpoint(address: str, port: int) -> Endpoint:
    """An address in numbers."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    return Endpoint(family, (address, port))
