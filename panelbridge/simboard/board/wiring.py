"""What is connected to the board's pins: contacts to ground, voltages, and chips of chains.

It is outside the board, so it keeps its state when the board is reset or loses power.
"""

from __future__ import annotations

import random

from panelbridge.config.boards import Board
from panelbridge.errors import LogicError
from panelbridge.link.wire import BITS_OF_CHIP, MAX_CHAIN_CHIPS
from panelbridge.simboard.contacts.contact import PlannedContact


class Wiring:
    """The contacts and voltages at the pins of a board.

    Args:
        board: the kind of board; its pins are named as printed on it. A contact at a 74HC165 is
            named by the data pin of its chain and the bit: ``D10.3``.
        rng: random source of the noise.
        noise_counts: largest deviation of an analogue reading either way, counts.
    """

    def __init__(self, board: Board, rng: random.Random, noise_counts: int = 0) -> None:
        self._board = board
        self._rng = rng
        self._noise_counts = noise_counts
        self._contacts = {pin.name: PlannedContact() for pin in board.pins.values() if pin.digital}
        self._counts = {pin.name: 0 for pin in board.pins.values() if pin.analogue}
        self._latched: dict[str, bool] = {}
        self._noise_at: dict[str, int] = {}
        self._joined: dict[str, str] = {}

    def contact(self, pin_name: str) -> PlannedContact:
        """The contact at a pin. Raises: LogicError: the board has no such pin."""
        if pin_name not in self._contacts:
            if not self._is_bit(pin_name):
                raise LogicError(f"a {self._board.kind} has no contact pin {pin_name}")
            self._contacts[pin_name] = PlannedContact()
        return self._contacts[pin_name]

    def set_closed(self, pin_name: str, closed: bool) -> bool:
        """Close or open a contact; returns whether that changed it."""
        contact = self.contact(pin_name)
        changed, contact.closed = contact.closed != closed, closed
        return changed

    def join(self, pin_name: str, other: str) -> None:
        """Let the wires of two pins touch. Raises: LogicError: the board has no such pin."""
        one, two = self.contact(pin_name), self.contact(other)
        one.joined.append(two)
        two.joined.append(one)
        self._joined |= {pin_name: other, other: pin_name}

    def pins_moved_by(self, pin_name: str) -> tuple[str, ...]:
        """The pins that change with the contact at a pin."""
        other = self._joined.get(pin_name)
        return (pin_name,) if other is None else (pin_name, other)

    def set_noise(self, pin_name: str, counts: int) -> None:
        """Largest deviation of one pin's reading either way. Raises: LogicError: no such pin."""
        self.counts(pin_name)
        self._noise_at[pin_name] = counts

    def counts(self, pin_name: str) -> int:
        """The voltage at an analogue pin without noise, counts. Raises: LogicError."""
        if pin_name not in self._counts:
            raise LogicError(f"a {self._board.kind} has no analogue pin {pin_name}")
        return self._counts[pin_name]

    def set_counts(self, pin_name: str, counts: int) -> None:
        """Put a voltage on an analogue pin, limited to the pin's range. Raises: LogicError."""
        self.counts(pin_name)
        self._counts[pin_name] = self._in_range(counts)

    def reading(self, pin_name: str) -> int:
        """What the board reads at an analogue pin, counts."""
        most = self._noise_at.get(pin_name, self._noise_counts)
        noise = self._rng.randint(-most, most) if most else 0
        return self._in_range(self.counts(pin_name) + noise)

    def is_steady(self, pin_name: str) -> bool:
        """Whether every reading at an analogue pin is the same until its voltage is changed."""
        return not self._noise_at.get(pin_name, self._noise_counts)

    def latch(self, bit_name: str, high: bool) -> None:
        """Set an output of a 74HC595; it keeps the level."""
        self._latched[bit_name] = high

    def latched(self, bit_name: str) -> bool:
        """Whether an output of a 74HC595 is high; one that was never set is low."""
        return self._latched.get(bit_name, False)

    def _in_range(self, counts: int) -> int:
        return min(max(counts, 0), self._board.counts)

    def _is_bit(self, name: str) -> bool:
        """Whether it is a bit of a chain at one of the board's pins."""
        data_pin, point, bit = name.rpartition(".")
        known = point and data_pin in self._contacts
        return bool(known) and bit.isdecimal() and int(bit) < MAX_CHAIN_CHIPS * BITS_OF_CHIP
