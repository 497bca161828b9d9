"""What the name of a pin may look like in a panel file."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import Field

_PRINTED = r"[A-Za-z0-9][A-Za-z0-9_/+~-]{0,15}|[A-Z0-9][A-Za-z0-9_/+~.-]{0,15}"
_BIT = r"[a-z][a-z0-9_]{0,15}\.(0|[1-9][0-9]{0,2})"
PIN_PATTERN = rf"^({_PRINTED})$"
"""Whatever a board can have printed on it. One with a point begins with a capital letter or a digit
(P0.13), so that it is no bit of a chain."""
PIN_OR_BIT_PATTERN = rf"^({_PRINTED}|{_BIT})$"
KNOWN_PIN = re.compile(r"(D|A|GP)[0-9]{1,2}")
"""A pin of the kinds of board that this program knows."""
BITS_OF_CHIP = 8
"""Bits of a shift register in a chain."""

PinName = Annotated[str, Field(pattern=PIN_PATTERN)]
PinOrBit = Annotated[str, Field(pattern=PIN_OR_BIT_PATTERN)]
"""A pin of the board, or a bit of one of its chains: the chain's name, a point, the bit."""

_PIN = re.compile(PIN_PATTERN)
_CHAIN_BIT = re.compile(_BIT)


def is_pin_name(text: object) -> bool:
    """Whether a text can be the name of a pin."""
    return isinstance(text, str) and _PIN.fullmatch(text) is not None


def is_chain_bit(text: object) -> bool:
    """Whether a text can be a bit of a chain."""
    return isinstance(text, str) and _CHAIN_BIT.fullmatch(text) is not None
