"""Simulated boards by name: what ``simboard://NAME`` finds."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

import serial

from panelbridge.clock import Clock
from panelbridge.errors import LogicError
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import LineFaults

PACKAGE = "panelbridge.simboard"
"""Where pyserial has to look for the handler of ``simboard://``."""

_lock = threading.Lock()
_boards: dict[str, RegisteredBoard] = {}


@dataclass(eq=False)
class RegisteredBoard:
    """A simulated board that can be opened as a port.

    Attributes:
        name: after ``simboard://``.
        cable: the board on its cable.
        clock: the time it lives in.
        reset_on_open: opening the port resets the board, as on many real ones.
        in_use: the port is open.
    """

    name: str
    cable: Cable
    clock: Clock
    reset_on_open: bool = False
    in_use: bool = False
    _guard: threading.Lock = field(default_factory=threading.Lock)

    @property
    def url(self) -> str:
        """Its port."""
        return f"simboard://{self.name}"

    def plugged_in(self) -> bool:
        """Whether the board is there at present; also lives on until now."""
        self.cable.advance(self.clock.now())
        return self.cable.plugged

    def claim(self) -> bool:
        """Take the port; False when it is taken already."""
        with self._guard:
            if self.in_use:
                return False
            self.in_use = True
            return True

    def free(self) -> None:
        """Give the port back."""
        self.in_use = False


def make_url_known() -> None:
    """Tell pyserial where the handler of ``simboard://`` is; doing it twice is fine."""
    if PACKAGE not in serial.protocol_handler_packages:
        serial.protocol_handler_packages.append(PACKAGE)


def register(
    name: str,
    board: SimBoard,
    clock: Clock,
    faults: LineFaults | None = None,
    *,
    reset_on_open: bool = False,
) -> RegisteredBoard:
    """Make a board reachable as ``simboard://NAME`` until ``unregister``.

    Args:
        name: letters, digits, ``_`` and ``-``; not told apart by case.
        board: the board.
        clock: the time it lives in; in a virtual one a blocking read moves time on.
        faults: of its line.
        reset_on_open: opening the port resets the board.

    Raises:
        LogicError: the name is taken.
    """
    make_url_known()
    entry = RegisteredBoard(name.lower(), Cable(board, faults), clock, reset_on_open)
    with _lock:
        if entry.name in _boards:
            raise LogicError(f"there is a simulated board {name} already")
        _boards[entry.name] = entry
    return entry


def unregister(name: str) -> None:
    """Make a board unreachable; nothing happens when there is none of this name."""
    with _lock:
        _boards.pop(name.lower(), None)


def find(name: str) -> RegisteredBoard | None:
    """The board of this name."""
    with _lock:
        return _boards.get(name.lower())


def names() -> tuple[str, ...]:
    """Every name that can be opened."""
    with _lock:
        return tuple(_boards)
