"""What is wired to the board's pins: contacts to ground and voltages, now and to come.

It is the world outside the board: it goes on when the board is reset or has no power.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from panelbridge.config.boards import Board
from panelbridge.errors import LogicError
from panelbridge.link.messages import BITS_OF_CHIP, MAX_CHAIN_CHIPS


class Wiring:
    """The contacts and voltages at the pins of a board.

    Args:
        board: the kind of board; its pins are named as printed on it. A contact at a 74HC165 is
            named by the data pin of its chain and the bit: ``D10.3``.
    """

    def __init__(self, board: Board) -> None:
        self._board = board
        self._closed = {pin.name: False for pin in board.pins.values() if pin.digital}
        self._counts = {pin.name: 0 for pin in board.pins.values() if pin.analogue}
        self._latched: dict[str, bool] = {}
        self._planned: dict[str, deque[tuple[float, bool]]] = {}

    def closed(self, pin_name: str) -> bool:
        """Whether the contact at a pin connects it to ground."""
        return self._closed.get(self._known(pin_name, self._closed), False)

    def counts(self, pin_name: str) -> int:
        """What the voltage at an analogue pin reads, counts."""
        return self._counts[self._known(pin_name, self._counts)]

    def set_closed(self, pin_name: str, closed: bool) -> bool:
        """Close or open a contact; gives whether that changed it."""
        changed = self.closed(pin_name) != closed
        self._closed[pin_name] = closed
        return changed

    def set_counts(self, pin_name: str, counts: int) -> None:
        """Put a voltage on an analogue pin; beyond its range it reads the range's end."""
        self._known(pin_name, self._counts)
        self._counts[pin_name] = min(max(counts, 0), self._board.counts)

    def latch(self, bit_name: str, high: bool) -> None:
        """An output of a 74HC595 is told its level; it keeps it."""
        self._latched[bit_name] = high

    def latched(self, bit_name: str) -> bool:
        """Whether an output of a 74HC595 is high; one that was never told is low."""
        return self._latched.get(bit_name, False)

    def plan(self, pin_name: str, changes: Iterable[tuple[float, bool]]) -> float | None:
        """Replace what is planned for a contact; gives when the first change is due."""
        self._known(pin_name, self._closed)
        planned = deque(sorted(changes, key=lambda change: change[0]))
        self._planned[pin_name] = planned
        return planned[0][0] if planned else None

    def next_planned(self, pin_name: str) -> tuple[bool, float | None]:
        """Take the next planned change of a contact: (closed, when the one after it is due)."""
        planned = self._planned[pin_name]
        _, closed = planned.popleft()
        return closed, planned[0][0] if planned else None

    def _known(self, pin_name: str, among: dict[str, bool] | dict[str, int]) -> str:
        if pin_name not in among and not (among is self._closed and self._is_bit(pin_name)):
            what = "analogue" if among is self._counts else "contact"
            raise LogicError(f"a {self._board.kind} has no {what} pin {pin_name}")
        return pin_name

    def _is_bit(self, name: str) -> bool:
        """Whether it is a bit of a chain that could hang at one of the board's pins."""
        data_pin, point, bit = name.partition(".")
        known = point and self._closed.keys() >= {data_pin}
        return bool(known) and bit.isdecimal() and int(bit) < MAX_CHAIN_CHIPS * BITS_OF_CHIP
