"""How exactly a board's serial line keeps its speed, and which speed to choose.

The UART of an AVR board divides the clock by a whole number. Source: data sheets ATmega48/88/168
and ATmega2560, chapter USART, "Examples of Baud Rate Setting": baud = f / (16 (UBRR + 1)), or
f / (8 (UBRR + 1)) at double speed (U2X), UBRR of 12 bits.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.config.advice import in_range
from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.model_walk import field_target
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem

NORMAL, DOUBLE = 16, 8
"""By how much the UART divides beside UBRR: at normal speed, at double speed."""
LARGEST_UBRR = 4095
WARN_ABOVE_PERCENT = 2.0
"""Beyond this error a receiver begins to read bits of a frame wrong."""
FASTEST_BAUD = 500_000
"""Beyond this a 16 MHz board loses frames, for it cannot take the bytes away in time."""
RECOMMENDED_BAUDS = (250_000, 500_000)
"""Exact on a 16 MHz board."""
DEFAULT_BAUD: int = BoardEntry.model_fields["baud"].default
_FOR_THE_BOOT_LOADER = 57_600
"""The boards' usual core sets only this speed without U2X, for old boot loaders."""


class BaudSetting(Struct, frozen=True):
    """A setting of the UART.

    Attributes:
        wanted: the speed that is asked for, bit/s.
        divisor: ``NORMAL`` or ``DOUBLE``.
        ubrr: value of its register, 0 to ``LARGEST_UBRR``.
        actual: the speed that comes out, bit/s.
    """

    wanted: int
    divisor: int
    ubrr: int
    actual: float

    @property
    def error_percent(self) -> float:
        """How far the actual speed is off; positive when it is too fast."""
        return (self.actual / self.wanted - 1.0) * 100.0


def setting(clock_hz: int, baud: int, divisor: int) -> BaudSetting:
    """The setting nearest to ``baud``."""
    ubrr = min(max(round(clock_hz / (divisor * baud)) - 1, 0), LARGEST_UBRR)
    return BaudSetting(baud, divisor, ubrr, clock_hz / (divisor * (ubrr + 1)))


def sketch_setting(clock_hz: int, baud: int) -> BaudSetting:
    """What the sketch sets, through the usual core of AVR boards."""
    return setting(clock_hz, baud, NORMAL if baud == _FOR_THE_BOOT_LOADER else DOUBLE)


def check_bauds(source: YamlSource) -> Iterator[ConfigProblem]:
    """Warnings of speeds that work badly with their kind of board."""
    for name in source.keys(("boards",)):
        path: KeyPath = ("boards", name, "baud")
        board = board_of_entry(source, name)
        baud = source.get(path) if path in source.positions else DEFAULT_BAUD
        if board is None or board.uart_clock_hz is None:
            continue
        if not isinstance(baud, int) or not in_range(baud, field_target("baud", BoardEntry)):
            continue
        clock_hz = board.uart_clock_hz
        error = sketch_setting(clock_hz, baud).error_percent
        mhz = clock_hz // 1_000_000
        if abs(error) > WARN_ABOVE_PERCENT:
            what = (
                f"at {baud} bit/s the serial line of board {quoted(name)} is off by {error:+.1f} % "
                f"(its clock of {mhz} MHz cannot be divided so), and frames may get lost"
            )
        elif baud > FASTEST_BAUD:
            what = f"at {baud} bit/s board {quoted(name)} loses frames: it is not fast enough"
        else:
            continue
        hint = f"Write {listed(RECOMMENDED_BAUDS)}: both are exact; the sketch must have the same"
        yield replace(source.at_value(path, what, hint), is_warning=True)
