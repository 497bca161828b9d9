"""Every switch that a system can read, and what its positions are called."""

from __future__ import annotations

from panelbridge.logic.kit.handles import Lever, OneContact, SwitchWords
from panelbridge.logic.systems import SWITCHES

LEVERS = tuple(name for name, switch in SWITCHES.items() if isinstance(switch, Lever))
"""Switches that can be anywhere from 0 to 1."""
BUTTON = OneContact.words
"""The positions of a button."""


def words_of(switch: str) -> SwitchWords:
    """The words of a switch with one contact, by its name in the panel file."""
    found = SWITCHES.get(switch)
    return found.words if isinstance(found, OneContact) else BUTTON


def operated_first(switch: str) -> tuple[str, str]:
    """The words of a switch with one contact, the operated one first."""
    words = words_of(switch)
    return words.operated, words.free


def rest_of(lever: str) -> float:
    """Where a lever stands when nobody has touched it, 0 to 1."""
    found = SWITCHES[lever]
    return found.rest if isinstance(found, Lever) else 1.0
