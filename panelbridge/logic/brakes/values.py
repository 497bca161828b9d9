"""What the parking brake publishes by name, and what it asks of the simulator."""

from __future__ import annotations

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.kit.declarations import CommandSignal, Signal

PARKING_VALUES = (
    Signal(
        *("parking_brake_state", "word", "parking brake"),
        lambda world: world[BrakesFacts].parking_word,
        words=("released", "partly", "set", "not_set", "bled_down", "trapped"),
    ),
)
PARKING_COMMANDS = (
    CommandSignal(
        "parking_brake",
        "the parking brake holds",
        lambda world: world[BrakesFacts].parking_holds,
    ),
)
