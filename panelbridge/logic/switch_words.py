"""What the two positions of each switch are called: a button is pressed, a toggle is on."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple


class SwitchWords(NamedTuple):
    """The two positions of a switch with one contact.

    Attributes:
        free: as it is when nobody has touched it.
        operated: as it is when its contact is operated.
    """

    free: str
    operated: str


BUTTON = SwitchWords("released", "pressed")
TOGGLE = SwitchWords("off", "on")
PULL = SwitchWords("stowed", "pulled")

_OTHERS: Mapping[str, SwitchWords] = MappingProxyType(
    {
        "aux_pump": TOGGLE,
        "antiskid": TOGGLE,
        "cold_weather": TOGGLE,
        "night": TOGGLE,
        "emergency_extend": PULL,
    }
)

START_AT_REST = MappingProxyType(
    {
        "parking_brake": 0.0,
        "emergency_brake": 0.0,
        "left_brake": 0.0,
        "right_brake": 0.0,
        "tiller": 0.5,
    }
)
"""Where the levers stand that have a place of rest; others stand at 1."""
LEVERS = ("dimmer", *START_AT_REST)
"""Switches that can be anywhere from 0 to 1."""


def words_of(switch: str) -> SwitchWords:
    """The words of the switch ``switch``, by its name in the panel file."""
    return _OTHERS.get(switch, BUTTON)


def operated_first(switch: str) -> tuple[str, str]:
    """The words of a switch with one contact, the operated one first."""
    words = words_of(switch)
    return words.operated, words.free


def field_of(switch: str) -> str:
    """The field of ``SwitchState`` that has the switch ``switch``."""
    return f"{switch}_fraction" if switch in LEVERS else switch


def rest_of(lever: str) -> float:
    """Where the lever ``lever`` stands when nobody has touched it, 0 to 1."""
    return START_AT_REST.get(lever, 1.0)
