"""Data sheet limits of microcontrollers, shift registers and drivers, each with its source."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.config.boards import Board
from panelbridge.config.electrics.keys import ChipKind
from panelbridge.wiring.electrics.sources import FigureSource


class PortGroup(Struct, frozen=True):
    """Pins whose currents have one limit together.

    Attributes:
        ports: port pins as the data sheet names them, ``B0``.
        limit_ma: for the sum of their currents, mA.
        sinks: for current into the pins; otherwise for current out of them.
        sources: for current out of the pins.
    """

    ports: frozenset[str]
    limit_ma: float
    sinks: bool
    sources: bool
    source: FigureSource


class ChipLimits(Struct, frozen=True):
    """Limits of a microcontroller.

    Attributes:
        title: its type number.
        pin_tested_ma: current at which the data sheet guarantees the pin's level, mA.
        pin_most_ma: absolute maximum of a pin, mA; that of the chip where the data sheet has none.
        chip_sourced_ma: for all currents out of pins together, through its supply pins, mA.
        chip_sunk_ma: for all currents into pins together, through its ground pins, mA.
        groups: pins with a limit of their own together.
        pull_up_ohm: lowest and highest value of its own pull-up resistors.
        low_fraction: a pin reads low up to this part of the supply voltage.
        pin_source: where the limits of a pin come from.
        chip_source: where the limits of the chip come from.
        level_source: where levels and pull-ups come from.
    """

    title: str
    pin_tested_ma: float
    pin_most_ma: float
    chip_sourced_ma: float
    chip_sunk_ma: float
    groups: tuple[PortGroup, ...]
    pull_up_ohm: tuple[float, float]
    low_fraction: float
    pin_source: FigureSource
    chip_source: FigureSource
    level_source: FigureSource


def _ports(names: str) -> frozenset[str]:
    """``C0-5 D7`` as single pins."""
    found: set[str] = set()
    for name in names.split():
        first, _, last = name[1:].partition("-")
        found |= {f"{name[0]}{bit}" for bit in range(int(first), int(last or first) + 1)}
    return frozenset(found)


def _groups(
    limits: Mapping[str, float], source: FigureSource, *, sinks: bool = True, sources: bool = True
) -> tuple[PortGroup, ...]:
    return tuple(PortGroup(_ports(p), ma, sinks, sources, source) for p, ma in limits.items())


# F-4, F-5, O-1, O-2, F-6, O-3, F-8.
_M328P = FigureSource("data sheet ATmega48A-328P (8271H), 29.1 and 29.2", "R")
_M328PB = FigureSource("data sheet ATmega328PB (DS40001906C), p. 405", "R")
_M32U4 = FigureSource("data sheet ATmega32U4 (7766F), p. 379", "R")
_M2560 = FigureSource("data sheet ATmega2560 (2549), DC characteristics", "R")
_M2560_SOURCED = FigureSource("data sheet ATmega2560 (2549), DC characteristics", "M")
_MEGA_PIN = FigureSource("data sheets ATmega2560 and ATmega32U4", "M")
_ESP32 = FigureSource("data sheets of ESP32 chip and module, DC characteristics", "R")
_RP2040 = FigureSource("data sheet RP2040, 5.2", "R")
_M328_GROUPS = (
    *_groups({"C0-5": 100, "B0-5 D5-7": 100, "D0-4": 100}, _M328P, sources=False),
    *_groups({"C0-5 D0-4": 150, "B0-5 D5-7": 150}, _M328P, sinks=False),
)
_M32U4_GROUPS = {"C6-7": 100.0, "D0-7": 100.0, "B0-7 E2 E6": 100.0, "F0-1 F4-7": 100.0}
_M2560_GROUPS = {
    "J0-7 A0-7 G2": 200.0,
    "C0-7 G0-1 D0-7 L0-7": 200.0,
    "G3-4 B0-7 H0-7": 200.0,
    "E0-7 G5": 100.0,
    "F0-7 K0-7": 100.0,
}


def _avr(
    title: str,
    pin_tested_ma: float,
    chip_ma: float,
    groups: tuple[PortGroup, ...],
    pin_source: FigureSource,
    chip_source: FigureSource,
) -> ChipLimits:
    return ChipLimits(
        *(title, pin_tested_ma, 40.0, chip_ma, chip_ma, groups, (20_000.0, 50_000.0), 0.3),
        *(pin_source, chip_source, _M328P),
    )


CHIPS: Mapping[ChipKind, ChipLimits] = {
    "atmega328p": _avr("ATmega328P", 20.0, 200.0, _M328_GROUPS, _M328P, _M328P),
    "atmega328pb": _avr("ATmega328PB", 20.0, 100.0, _M328_GROUPS, _M328PB, _M328PB),
    "atmega32u4": _avr("ATmega32U4", 10.0, 200.0, _groups(_M32U4_GROUPS, _M32U4), _M32U4, _M32U4),
    "atmega2560": _avr(
        "ATmega2560",
        20.0,
        200.0,
        _groups(_M2560_GROUPS, _M2560, sources=False)
        + _groups(_M2560_GROUPS, _M2560_SOURCED, sinks=False),
        _MEGA_PIN,
        _M2560,
    ),
    "rp2040": ChipLimits(
        *("RP2040", 12.0, 50.0, 50.0, 50.0, (), (50_000.0, 80_000.0), 0.8 / 3.3),
        *(_RP2040, _RP2040, _RP2040),
    ),
    "esp32": ChipLimits(
        *("ESP32", 28.0, 40.0, 1100.0, 1100.0, (), (45_000.0, 45_000.0), 0.25),
        *(_ESP32, _ESP32, _ESP32),
    ),
}
_CHIPS_OF_BOARD: Mapping[str, tuple[ChipKind, ...]] = {
    "uno": ("atmega328p", "atmega328pb"),
    "nano": ("atmega328p", "atmega328pb"),
    "mega2560": ("atmega2560",),
    "leonardo": ("atmega32u4",),
    "micro": ("atmega32u4",),
    "pico": ("rp2040",),
}


def chip_of(board: Board, chip: ChipKind | None = None) -> ChipLimits | None:
    """The chip of a board, or ``chip`` where the panel file names it; None when it is not known."""
    kind = chip or (chips_of(board) or (None,))[0]
    return CHIPS[kind] if kind is not None else None


def chips_of(board: Board) -> tuple[ChipKind, ...]:
    """The chips that a kind of board can have, the usual one first; none when any can be."""
    return _CHIPS_OF_BOARD.get(board.kind, ())


class RegisterLimits(Struct, frozen=True):
    """Limits of a shift register: of an output, and through its supply or ground pin, mA."""

    title: str
    output_most_ma: float
    chip_most_ma: float
    source: FigureSource


OUTPUT_REGISTER = RegisterLimits(
    "74HC595", 35.0, 70.0, FigureSource("data sheet CD74HC595 (SCHS353)", "R")
)
