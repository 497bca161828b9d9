"""What each kind of board can do: its pins by the names printed on it.

Pins are named as on the board (``D2``, ``A0``; ``GP2`` on a Pico-class board) and numbered on the
wire as the board's own environment numbers them. A board of any other kind is described by the
panel file (``other_board``).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum
from typing import Literal

from msgspec import Struct

BoardKind = Literal["uno", "nano", "mega2560", "leonardo", "micro", "pico", "other"]
OTHER: BoardKind = "other"


class BoardCode(IntEnum):
    """Number of a kind of board on the wire (in HELLO)."""

    UNO = 1
    NANO = 2
    MEGA2560 = 3
    LEONARDO = 4
    MICRO = 5
    PICO = 6
    OTHER = 100
    """The first number for boards of other kinds; all up to 255 are for them."""


class Pin(Struct, frozen=True):
    """One pin.

    Attributes:
        name: as printed on the board.
        number: on the wire.
        digital: can be a contact or a lamp.
        pwm: can dim a lamp.
        analogue: can read a voltage.
        reserved: why it must stay free; empty when it is the builder's.
        at_boot: what drives it while the board starts, so that no horn or coil belongs there; empty
            when it rests.
    """

    name: str
    number: int
    digital: bool = True
    pwm: bool = False
    analogue: bool = False
    reserved: str = ""
    at_boot: str = ""


class Board(Struct, frozen=True):
    """A kind of board.

    Attributes:
        kind: its name in panel files.
        code: its number in a HELLO (``BoardCode``, or one of a board of the builder's own).
        pins: by name.
        items: how many switches, lamps... its firmware takes at least.
        counts: largest value of its analogue inputs.
        resets_on_open: opening its port resets it (so the host waits for its hello).
        pairs_pulses: its pins share pulse generators (``pulses_clash``).
        uart_clock_hz: what its serial line's speed is divided from; None for USB of its own, and
            when it is not known.
        own_usb: its chip has USB itself, so that its line has no speed.
        tones: how many horns its firmware plays at once.
        servos: how many servos its firmware moves.
        supply_v: what its pins' high level, pull-ups and analogue range stand on, V.
    """

    kind: BoardKind
    code: int
    pins: Mapping[str, Pin]
    items: int = 32
    counts: int = 1023
    resets_on_open: bool = True
    pairs_pulses: bool = False
    uart_clock_hz: int | None = None
    own_usb: bool = False
    tones: int = 2
    servos: int = 8
    supply_v: float = 5.0

    def pulses_clash(self, first: Pin, first_hz: int, second: Pin, second_hz: int) -> bool:
        """Whether two pins cannot have pulses of these frequencies (Hz) at once.

        On a Pico-class board pins 2n and 2n + 1 have one frequency, and n and n + 16 are one
        output. Source: RP2040 data sheet, chapter PWM, 8 slices with two outputs each.
        """
        one, other = first.number, second.number
        if not self.pairs_pulses or (one >> 1) & 7 != (other >> 1) & 7:
            return False
        return one & 1 == other & 1 or first_hz != second_hz


LARGE_ITEMS = 112
LAMP_PULSE_HZ = 1000
"""Pulses that dim a lamp on a Pico-class board."""
SERVO_PULSE_HZ = 50
_AVR_CLOCK_HZ = 16_000_000
_SERIAL = "it carries the serial line to the computer"
_BOOT_LED = "D13"
_BLINKS = "the boot loader blinks the board's own LED on it"
"""Source: boot loaders in Debian's package arduino-core-avr (``optiboot/pin_defs.h``,
``stk500v2/stk500boot.c``, ``caterina/Caterina.h``): PB5, PB7, PC7. An RP2040 drives no pin."""


def _arduino(
    kind: BoardKind,
    code: BoardCode,
    digital: int,
    pwm: set[int],
    analogue: range,
    *,
    items: int = 32,
    analogue_only: frozenset[int] = frozenset(),
    serial: bool = True,
) -> Board:
    """A board with D0 to ``digital`` - 1, and A0... with the numbers ``analogue`` on the wire."""
    pins: dict[str, Pin] = {}
    for number in range(digital):
        reserved = _SERIAL if serial and number in (0, 1) else ""
        name = f"D{number}"
        at_boot = _BLINKS if name == _BOOT_LED else ""
        pins[name] = Pin(name, number, pwm=number in pwm, reserved=reserved, at_boot=at_boot)
    for channel, number in enumerate(analogue):
        name = f"A{channel}"
        pins[name] = Pin(name, number, digital=channel not in analogue_only, analogue=True)
    clock_hz = _AVR_CLOCK_HZ if serial else None
    return Board(
        kind,
        code,
        pins,
        items,
        resets_on_open=serial,
        uart_clock_hz=clock_hz,
        own_usb=not serial,
    )


def _pico() -> Board:
    pins = {
        f"GP{n}": Pin(f"GP{n}", n, pwm=True, analogue=n in (26, 27, 28))
        for n in range(29)
        if n not in (23, 24, 25)  # inside the board, not on its edge
    }
    return Board(
        "pico",
        BoardCode.PICO,
        pins,
        LARGE_ITEMS,
        counts=65535,
        resets_on_open=False,
        pairs_pulses=True,
        own_usb=True,
        tones=LARGE_ITEMS,
        servos=LARGE_ITEMS,
        supply_v=3.3,
    )


# Pin numbers, PWM and analogue pins: the boards' own pin definition files (see
# Debian's package arduino-core-avr, variants standard, eightanaloginputs, mega,
# leonardo, micro).
_SMALL = {3, 5, 6, 9, 10, 11}
_LARGE = {*range(2, 14), 44, 45, 46}
_A6_A7 = frozenset({6, 7})
BOARDS: Mapping[BoardKind, Board] = {
    board.kind: board
    for board in (
        _arduino("uno", BoardCode.UNO, 14, _SMALL, range(14, 20)),
        _arduino("nano", BoardCode.NANO, 14, _SMALL, range(14, 22), analogue_only=_A6_A7),
        _arduino("mega2560", BoardCode.MEGA2560, 54, _LARGE, range(54, 70), items=LARGE_ITEMS),
        _arduino("leonardo", BoardCode.LEONARDO, 14, {*_SMALL, 13}, range(18, 24), serial=False),
        _arduino("micro", BoardCode.MICRO, 14, {*_SMALL, 13}, range(18, 24), serial=False),
        _pico(),
    )
}
