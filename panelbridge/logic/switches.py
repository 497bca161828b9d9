"""What the positions of switches are called, and where levers rest, by name.

Of the systems' switches by their names alone; those of a builder's own are found among the switches
of the aircraft (``inventory.switches_of``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelbridge.logic.kit.handles import Lever, OneContact, Switch, SwitchWords
from panelbridge.logic.systems import SWITCHES

Declared = Mapping[str, Switch[Any]]
LEVERS = tuple(name for name, switch in SWITCHES.items() if isinstance(switch, Lever))
"""Switches of the systems that can be anywhere from 0 to 1."""
BUTTON = OneContact.words
"""The positions of a button."""


def is_lever(switch: str, declared: Declared = SWITCHES) -> bool:
    """It can be anywhere from 0 to 1."""
    return isinstance(declared.get(switch), Lever)


def words_of(switch: str, declared: Declared = SWITCHES) -> SwitchWords:
    """The words of a switch with one contact, by its name in the panel file."""
    found = declared.get(switch)
    return found.words if isinstance(found, OneContact) else BUTTON


def operated_first(switch: str, declared: Declared = SWITCHES) -> tuple[str, str]:
    """The words of a switch with one contact, the operated one first."""
    words = words_of(switch, declared)
    return words.operated, words.free


def rest_of(lever: str, declared: Declared = SWITCHES) -> float:
    """Where a lever stands when nobody has touched it, 0 to 1."""
    found = declared[lever]
    return found.rest if isinstance(found, Lever) else 1.0
