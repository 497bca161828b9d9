"""What messages to a simulator can name, at one instant."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from panelbridge.config.links.templates import WALL_CLOCK
from panelbridge.logic.aircraft_values import AircraftValue
from panelbridge.logic.command_values import CommandValue
from panelbridge.signals import AircraftState, Commands, Value


class SentValues:
    """Reads commands and aircraft values by name, only those that are used.

    Args:
        names: those that are used.
        commands: every command, by name.
        values: every value of the aircraft, by name; a command of the same name comes first.
        wall_clock: seconds since 1970.
    """

    def __init__(
        self,
        names: Collection[str],
        commands: Mapping[str, CommandValue],
        values: Mapping[str, AircraftValue],
        wall_clock: Callable[[], float],
    ) -> None:
        self._commands = [(name, commands[name].read) for name in names if name in commands]
        self._values = [
            (name, values[name].read) for name in names if name in values and name not in commands
        ]
        self._wall_clock = wall_clock if WALL_CLOCK in names else None
        self._seen: tuple[Commands | None, AircraftState] | None = None
        self._known: dict[str, Value] = {}

    def of(self, commands: Commands | None, state: AircraftState) -> Mapping[str, Value]:
        """Each name that is used, and its value; the same object while nothing has changed."""
        seen = self._seen
        if seen is None or seen[0] is not commands or (self._values and seen[1] is not state):
            self._seen = (commands, state)
            self._known = {name: read(state) for name, read in self._values}
            if commands is not None:
                self._known |= {name: read(commands) for name, read in self._commands}
        if self._wall_clock is None:
            return self._known
        return {**self._known, WALL_CLOCK: self._wall_clock()}
