"""How a switch is asked for: the words of its positions, and what to check when nothing moves."""

from __future__ import annotations

from typing import NamedTuple

from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.logic.kit.handles import Button, Lever
from panelbridge.logic.switches import Declared, words_of

ContactEntry = ContactSwitch | OneContactHandle | TwoContactHandle


class PositionWords(NamedTuple):
    """A position that is asked for.

    Attributes:
        position: its name in the panel file's words.
        order: what to do, in large.
        more: what else to know.
    """

    position: str
    order: str
    more: str = ""


def label_of(name: str, declared: Declared) -> str:
    """A switch in words for people."""
    found = declared.get(name)
    return found.label if found is not None else name.replace("_", " ")


def springs_back(name: str, declared: Declared) -> bool:
    """A button: it does not stay where it is put."""
    return isinstance(declared.get(name), Button)


def positions_of(
    name: str, entry: ContactEntry, declared: Declared
) -> tuple[PositionWords, PositionWords]:
    """The two positions that are asked for; the one in which the switch is operated comes first."""
    label = label_of(name, declared)
    stays = "Leave it there."
    found = declared.get(name)
    if isinstance(entry, OneContactHandle | TwoContactHandle):
        again = "Is it up already? Put it down first, then up."
        return (
            PositionWords("up", f"Put the {label} UP", f"{stays} {again}"),
            PositionWords("down", f"Put the {label} DOWN", stays),
        )
    words = words_of(name, declared)
    if springs_back(name, declared):
        return (
            PositionWords(words.operated, f"Press the {label} and hold it", "Keep it pressed."),
            PositionWords(words.free, f"Let the {label} go"),
        )
    operated, free = words.operated, words.free
    if isinstance(found, Lever):
        return (
            PositionWords(operated, f"Pull or press the {label} fully", stays),
            PositionWords(free, f"Let the {label} go", "Put it back to its rest."),
        )
    again = f"Is it {operated} already? Put it {free} first, then {operated}."
    return (
        PositionWords(operated, f"Put the {label} to {operated.upper()}", f"{stays} {again}"),
        PositionWords(free, f"Put the {label} to {free.upper()}", stays),
    )


def checks_of(closed: bool | None) -> tuple[str, ...]:
    """What to check when a switch never moves, by what its pin reads."""
    if closed:
        return (
            "Its pin reads closed all the time: does the wire touch ground or its neighbour?",
            "Is the switch stuck, or wired to two terminals that are always joined?",
        )
    return (
        "Its pin reads open all the time: is the wire off, at this board or at the switch?",
        "Does the other terminal of the switch go to ground (GND) of this board?",
        "Is it the right terminal? Common and normally open (COM and NO), not NC.",
    )
