"""What the messages of a target may name: commands, values of the aircraft, the time of day."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from panelbridge.config.links.templates import WALL_CLOCK
from panelbridge.config.value_names import sets_of_values
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.command_values import command_values_of


class Sendable(NamedTuple):
    """Something that a message may name.

    Attributes:
        name: its name.
        words: the words that it can be; none for a number.
        unit: of a number; empty for a fraction.
        is_command: it is asked of the simulator; else it is a value of the aircraft.
        is_held: it lasts only while it is sent.
    """

    name: str
    words: tuple[str, ...] = ()
    unit: str = ""
    is_command: bool = True
    is_held: bool = False


def sendable_of(aircraft: AircraftParameters) -> Mapping[str, Sendable]:
    """Everything that the messages of an aircraft's feed may name."""
    found = {WALL_CLOCK: Sendable(WALL_CLOCK, unit="s", is_command=False)}
    for value in values_of(aircraft).values():
        found[value.name] = Sendable(value.name, value.words, value.unit, False)
    for command in command_values_of(aircraft).values():
        found[command.name] = Sendable(
            command.name, command.words, command.unit, True, command.is_held
        )
    sets = sets_of_values(aircraft)
    return {name: one for name, one in found.items() if name not in sets}
