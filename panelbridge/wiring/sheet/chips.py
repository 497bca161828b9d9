"""Pin names and numbers of the chips that a panel needs, as on their 16- or 18-pin packages.

Pin 1 is at the notch, on the left when the notch is at the top; the numbers go round against the
clock.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

ChipType = Literal["74HC165", "74HC595", "ULN2803A"]
SUPPLY_PIN = "VCC"


class Chip(Struct, frozen=True):
    """A chip.

    Attributes:
        kind: its type number.
        pins: the name of each pin, from pin 1.
        source: where the numbers were read, or that they are from memory.
    """

    kind: ChipType
    pins: tuple[str, ...]
    source: str

    @property
    def left(self) -> tuple[tuple[int, str], ...]:
        """Number and name of each pin on the left, from the top."""
        half = len(self.pins) // 2
        return tuple(enumerate(self.pins[:half], 1))

    @property
    def right(self) -> tuple[tuple[int, str], ...]:
        """Number and name of each pin on the right, from the top."""
        half = len(self.pins) // 2
        return tuple(reversed(list(enumerate(self.pins[half:], half + 1))))

    def number(self, name: str) -> int:
        """The number of the pin with this name."""
        return self.pins.index(name) + 1


def _pins(words: str) -> tuple[str, ...]:
    return tuple(words.split())


INPUT_CHIP = Chip(
    "74HC165",
    _pins("PL CP D4 D5 D6 D7 Q7N GND Q7 DS D0 D1 D2 D3 CE VCC"),
    "pin numbers from memory, not read",
)
"""``Q7N`` is the inverted serial output, which stays free."""
OUTPUT_CHIP = Chip(
    "74HC595",
    _pins("Q1 Q2 Q3 Q4 Q5 Q6 Q7 GND Q7S MR SHCP STCP OE DS Q0 VCC"),
    "pin numbers: a published circuit diagram, i2sexpansion.sch",
)
ARRAY_CHIP = Chip(
    "ULN2803A",
    _pins(
        "IN1 IN2 IN3 IN4 IN5 IN6 IN7 IN8 GND COM OUT8 OUT7 OUT6 OUT5 OUT4 OUT3 OUT2 OUT1",
    ),
    "pin numbers: table at circflow.com/ic/uln2803",
)
