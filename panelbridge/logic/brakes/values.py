"""What the parking brake publishes by name, and what it asks of the simulator."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
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


def never_noted(parameters: BrakesParameters, events: Iterable[str]) -> Iterator[str]:
    """Events that the parts of these brakes never give."""
    if not parameters.emergency_brake:
        yield from [name for name in events if name.startswith("emergency_brake")]
    if not parameters.parking_brake:
        yield from [name for name in events if name.startswith("parking_brake")]
    elif not (parameters.needs_hydraulics or parameters.parking_needs_pedals):
        # It presses by itself: it always has the full pressure.
        yield from ("parking_brake_bled_down", "parking_brake_holds_again")
        if parameters.full_psi > parameters.parking_hold_psi:
            yield "parking_brake_not_set"
