"""Numbers in binary messages as the standard library's ``struct`` names them."""

from __future__ import annotations

from typing import Literal

from panelbridge.config.links.formats import NumberType

LETTERS: dict[NumberType, str] = {
    "int8": "b",
    "uint8": "B",
    "int16": "h",
    "uint16": "H",
    "int32": "i",
    "uint32": "I",
    "int64": "q",
    "uint64": "Q",
    "float32": "f",
    "float64": "d",
}


def order_letter(order: Literal["little", "big"]) -> str:
    """Sign of the order of bytes, without padding."""
    return "<" if order == "little" else ">"
