"""Simulated boards by name, for the port ``simboard://NAME``."""

from __future__ import annotations

import threading

from msgspec import Struct

from panelbridge.clock import Clock
from panelbridge.errors import LogicError
from panelbridge.link.ports import IN_PROCESS_SCHEME  # also makes the scheme known to pyserial
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import LineFaults

_lock = threading.Lock()
_boards: dict[str, RegisteredBoard] = {}


class RegisteredBoard(Struct, eq=False):
    """A simulated board that can be opened as a port.

    Attributes:
        name: after ``simboard://``.
        cable: the board on its cable.
        clock: the time that it runs on.
        reset_on_open: opening the port resets the board, as on many real ones.
        in_use: the port is open.
    """

    name: str
    cable: Cable
    clock: Clock
    reset_on_open: bool = False
    in_use: bool = False

    @property
    def url(self) -> str:
        """Its port."""
        return IN_PROCESS_SCHEME + self.name

    def claim(self) -> bool:
        """Take the port; False when it is already in use."""
        with _lock:
            was_in_use, self.in_use = self.in_use, True
            return not was_in_use


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
        name: letters, digits, ``_`` and ``-``; case does not matter.
        board: the board.
        clock: the time that it runs on; a blocking read advances a virtual clock.
        faults: of its line.
        reset_on_open: opening the port resets the board.

    Raises:
        LogicError: the name is taken.
    """
    entry = RegisteredBoard(name.lower(), Cable(board, faults), clock, reset_on_open)
    with _lock:
        if entry.name in _boards:
            raise LogicError(f"there is a simulated board {name} already")
        _boards[entry.name] = entry
    return entry


def unregister(name: str) -> None:
    """Make a board unreachable; an unknown name is ignored."""
    with _lock:
        _boards.pop(name.lower(), None)


def find(name: str) -> RegisteredBoard | None:
    """The board with this name; None = there is none."""
    with _lock:
        return _boards.get(name.lower())


def cable_of(name: str) -> Cable:
    """The cable of a board that is registered."""
    with _lock:
        return _boards[name.lower()].cable


def names() -> tuple[str, ...]:
    """Every name that can be opened."""
    with _lock:
        return tuple(_boards)
