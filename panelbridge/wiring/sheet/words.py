"""Values as a builder reads them on parts: ``330 Ω``, ``4.7 kΩ``, ``1/4 W``."""

from __future__ import annotations

from panelbridge.wiring.electrics.resistors import SeriesResistor
from panelbridge.wiring.electrics.wired import WiredBoard
from panelbridge.wiring.sheet.connectors import rail_name

_RATINGS = {0.125: "1/8 W", 0.25: "1/4 W", 0.5: "1/2 W"}


def short_ohm(ohm: float) -> str:
    """A value as it is written in a symbol: ``330``, ``4.7k``, ``1M``."""
    for scale, letter in ((1e6, "M"), (1e3, "k")):
        if ohm >= scale:
            return f"{ohm / scale:g}{letter}"
    return f"{ohm:g}"


def long_ohm(ohm: float) -> str:
    """A value in words: ``330 Ω``, ``4.7 kΩ``."""
    for scale, unit in ((1e6, "MΩ"), (1e3, "kΩ")):
        if ohm >= scale:
            return f"{ohm / scale:g} {unit}"
    return f"{ohm:g} Ω"


def watts(rating_w: float) -> str:
    """The power rating of a resistor."""
    return _RATINGS.get(rating_w, f"{rating_w:g} W")


def resistor_text(resistor: SeriesResistor) -> str:
    """Value and rating of a resistor."""
    return f"{long_ohm(resistor.ohm)} {watts(resistor.rating_w)}"


def rail(board: WiredBoard) -> str:
    """The board's own supply pin: ``5V`` or ``3V3``."""
    return rail_name(board.volts)


def feed(name: str, volts: float | None) -> str:
    """A supply that is not the board's: ``coils (12 V)``."""
    words = name or "its own supply"
    return words if volts is None else f"{words} ({volts:g} V)"
