"""The aircraft's side of the bench: values that are set, ramped, or lost on their way to the logic.

What is lost goes on underneath: found again it is where it would have been. The simulator's own
gear handle goes where the panel commands the gear, each time the command changes; a scenario that
puts it elsewhere keeps it there until the next command.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import fields, replace
from operator import attrgetter
from typing import Any

from panelbridge.bench.language.plan import FEED, RampValues
from panelbridge.bench.world.ramps import Ramp, Ramps
from panelbridge.errors import LogicError
from panelbridge.feeds.events import feed_event
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import NUMBERS, ValueSpec, put_values, values_of
from panelbridge.signals import AircraftState, Commands, Event, Value

_HERE = "the bench"
_NAMES = [field.name for field in fields(AircraftState)]
_PLACES = {name: _NAMES.index(name) for name in NUMBERS}
_THROTTLES = _NAMES.index("throttle_fraction")
_all_fields = attrgetter(*_NAMES)


class AircraftOnBench:
    """The aircraft of a scenario.

    Args:
        aircraft: its numbers.
        start: its values at the start.
    """

    def __init__(self, aircraft: AircraftParameters, start: AircraftState) -> None:
        self._specs: Mapping[str, ValueSpec] = values_of(aircraft)
        self._levers = {f"throttle_{number + 1}": number for number in range(aircraft.engines)}
        self._true = start
        self._fields: list[Any] = []
        self._fields_of: AircraftState | None = None
        self._lost: set[str] = set()
        self._ramps = Ramps()
        self.events: list[Event] = []
        """What the feed told since this was emptied."""
        self.state = start
        """The values as the logic gets them."""

    @property
    def next_due_s(self) -> float:
        """When a ramp gives new values."""
        return self._ramps.next_due_s

    @property
    def lost(self) -> Set[str]:
        """Values that are lost, by name; ``feed`` when all of them are."""
        return self._lost

    def advance(self, now_s: float) -> None:
        """Take the ramps' new values."""
        values = self._ramps.take(now_s)
        if values:
            self._put_numbers(values)

    def put(self, values: Mapping[str, Value]) -> None:
        """Set values; one that is on a ramp leaves it. Raises: LogicError: no such value."""
        for name in values:
            self._known(name)
        self._ramps.end(values)
        self._true = put_values(self._specs, self._true, values)
        self._show()

    def ramp(self, now_s: float, action: RampValues) -> None:
        """Begin a ramp. A value that is unknown has nowhere to begin: it is at its target at once.

        Raises:
            LogicError: no such value.
        """
        lines = {}
        for name, target in action.targets.items():
            begun = self._known(name).read(self._true)
            lines[name] = (float(begun) if isinstance(begun, (int, float)) else target, target)
        self._ramps.begin(Ramp(now_s, action.over_s, lines))
        self._put_numbers({name: begun for name, (begun, _) in lines.items()})

    def follow(self, commands: Commands) -> None:
        """Move the simulator's own handle to where the panel commands the gear."""
        if commands.gear is not None and commands.gear is not self._true.gear_handle:
            self._true = replace(self._true, gear_handle=commands.gear)
            self._show()

    def lose(self, now_s: float, name: str) -> None:
        """Lose a value, or all with ``feed``. Raises: LogicError: no such value."""
        if name != FEED:
            self._known(name)
        elif FEED not in self._lost:
            self.events.append(feed_event(now_s, _HERE, fresh=False))
        self._lost.add(name)
        self._show()

    def find(self, now_s: float, name: str) -> None:
        """Find a value again, or with ``feed`` all that are not lost by themselves."""
        if name not in self._lost:
            return
        self._lost.discard(name)
        if name == FEED:
            self.events.append(feed_event(now_s, _HERE, fresh=True))
        self._show()

    def _known(self, name: str) -> ValueSpec:
        if name not in self._specs:
            raise LogicError(f"there is no aircraft value '{name}' on the bench")
        return self._specs[name]

    def _put_numbers(self, values: Mapping[str, float]) -> None:
        """Put several numbers at once: a ramp's values make one new state."""
        if self._fields_of is not self._true:
            self._fields = [*_all_fields(self._true)]
        present, levers = self._fields, None
        others: dict[str, Value] = {}
        for name, value in values.items():
            if name in _PLACES:
                present[_PLACES[name]] = value
            elif name in self._levers:
                if levers is None:
                    levers = list(present[_THROTTLES])
                    levers += [None] * (len(self._levers) - len(levers))
                levers[self._levers[name]] = value
            else:
                others[name] = value
        if levers is not None:
            present[_THROTTLES] = tuple(levers)
        self._true = self._fields_of = AircraftState(*present)
        if others:
            self._true = put_values(self._specs, self._true, others)
        if self._lost:
            self._show()
        else:
            self.state = self._true

    def _show(self) -> None:
        if not self._lost:
            self.state = self._true
        elif FEED in self._lost:
            self.state = AircraftState()
        else:
            unknown: dict[str, Value] = dict.fromkeys(self._lost)
            self.state = put_values(self._specs, self._true, unknown)
