"""From a switch of the panel file to a hand on its contacts."""

from __future__ import annotations

from collections.abc import Callable

from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.logic.switches import Declared, words_of
from panelbridge.logic.systems import SWITCHES
from panelbridge.simboard.contacts.contact import Burst, clean
from panelbridge.simboard.contacts.hands import BETWEEN, ContactHand, ContactLine, SwitchContact

HAND_TRAVEL_S = 0.3
"""Time that a hand takes to move the gear handle from one end to the other, s."""
UP = "up"
DOWN = "down"

ContactWiring = ContactSwitch | OneContactHandle | TwoContactHandle


def contact_hand(
    name: str,
    wired: ContactWiring,
    start: str | float,
    now_s: float,
    contact_at: Callable[[str], ContactLine],
    travel_s: float = HAND_TRAVEL_S,
    burst: Burst = clean,
    declared: Declared = SWITCHES,
) -> ContactHand:
    """A hand on the switch ``name``; ``contact_at`` returns the contact at a pin.

    For a handle with two contacts the up contact comes first. The words of a switch are those with
    which it is ``declared``.

    Raises:
        UsageError: it cannot stand at ``start``.
    """
    normally_closed = False
    if isinstance(wired, OneContactHandle):
        positions: tuple[str, ...] = (UP, DOWN)
        pins = {str(wired.closed_means): wired.pin}
    elif isinstance(wired, TwoContactHandle):
        positions = (UP, BETWEEN, DOWN)
        pins = {UP: wired.up_pin, DOWN: wired.down_pin}
        normally_closed = wired.normally_closed
    else:
        positions = words_of(name, declared)
        pins = {positions[1]: wired.pin}
        normally_closed = wired.normally_closed
    contacts = [
        SwitchContact(contact_at(pin), place, normally_closed) for place, pin in pins.items()
    ]
    return ContactHand(name, positions, contacts, start, now_s, travel_s, burst)
