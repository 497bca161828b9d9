"""The aircraft of a scenario: values that are set, ramped, or lost on their way to the logic.

A lost value still changes: found again it is what it would have been. The simulator's own
gear handle goes where the panel commands the gear, each time the command changes; a scenario that
puts it elsewhere keeps it there until the next command.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from math import inf
from typing import Any

from panelbridge.bench.language.plan import FEED, RampValues
from panelbridge.bench.verdict.trace import Stepping
from panelbridge.feeds.feed_events import feed_event
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue, put_values, values_of
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import Moving
from panelbridge.signals import AircraftState, Commands, Event, Value

RAMP_STEP_S = 0.02
"""A ramp gives a new value this often, s: as often as the feed is read in a cockpit."""
_ROUNDING = 1e-6
"""A time this near to a step, in steps, is on it."""


@dataclass(frozen=True, slots=True)
class RampLine(Stepping):
    """A value that moves in steps of time along a straight line.

    Attributes:
        start_s: when it begins.
        end_s: when it arrives.
        begun: from where.
        target: to where.
    """

    start_s: float
    end_s: float
    begun: float
    target: float

    def at(self, now_s: float) -> float:
        """The value at ``now_s``; at the end exactly the target."""
        if now_s >= self.end_s:
            return self.target
        part = self._steps(now_s) * RAMP_STEP_S / (self.end_s - self.start_s)
        return self.begun + part * (self.target - self.begun)

    def next_s(self, now_s: float) -> float:
        """When it has its next value, s; inf when it has arrived."""
        if now_s >= self.end_s:
            return inf
        return min(self.start_s + (self._steps(now_s) + 1) * RAMP_STEP_S, self.end_s)

    def _steps(self, now_s: float) -> int:
        return int((now_s - self.start_s) / RAMP_STEP_S + _ROUNDING)


_HERE = "the bench"


class AircraftOnBench:
    """The aircraft of a scenario.

    Args:
        aircraft: its numbers.
        start: its values at the start.
    """

    def __init__(self, aircraft: AircraftParameters, start: AircraftState) -> None:
        self._specs: Mapping[str, AircraftValue] = values_of(aircraft)
        self._true = start
        self._lost: set[str] = set()
        self._lines: dict[str, RampLine] = {}
        self.next_due_s = inf
        """When a ramp gives new values."""
        self.events: list[Event] = []
        """Events of the feed since this was emptied."""
        self.state = start
        """The values as the logic gets them."""
        self.changes = 0
        """How often anything has changed but by ramps that go on."""

    @property
    def lost(self) -> Set[str]:
        """Values that are lost, by name; ``feed`` when all of them are."""
        return self._lost

    @property
    def moving(self) -> Mapping[Handle[Any], Moving]:
        """The cells of the values that are on ramps and not lost."""
        if FEED in self._lost:
            return {}
        lines = self._lines.items()
        return {self._specs[name].cell: line for name, line in lines if name not in self._lost}

    def advance(self, now_s: float) -> None:
        """Take the ramps' new values; those that have arrived are on none any more."""
        lines = self._lines
        values = {name: line.at(now_s) for name, line in lines.items()}
        self._true = put_values(self._specs, self._true, values)
        arrived = any(line.end_s <= now_s for line in lines.values())
        if arrived:
            lines = {name: line for name, line in lines.items() if line.end_s > now_s}
        self._follow_lines(now_s, lines)
        self._show(changed=arrived)

    def put(self, now_s: float, values: Mapping[str, Value]) -> None:
        """Set values; one that is on a ramp leaves it."""
        left = {name: line for name, line in self._lines.items() if name not in values}
        self._follow_lines(now_s, left)
        self._true = put_values(self._specs, self._true, values)
        self._show()

    def ramp(self, now_s: float, action: RampValues) -> None:
        """Begin a ramp. A value that is unknown has nowhere to begin: it is at its target now."""
        lines, begun = {}, dict[str, Value]()
        for name, target in action.targets.items():
            value = self._specs[name].read(self._true)
            begun[name] = first = float(value) if isinstance(value, (int, float)) else target
            lines[name] = RampLine(now_s, now_s + action.over_s, first, target)
        self._follow_lines(now_s, self._lines | lines)
        self._true = put_values(self._specs, self._true, begun)
        self._show()

    def follow(self, commands: Commands) -> None:
        """Move the simulator's own handle to where the panel commands the gear."""
        if commands.gear is not None and commands.gear is not self._true.gear_handle:
            self._true = replace(self._true, gear_handle=commands.gear)
            self._show()

    def lose(self, now_s: float, name: str) -> None:
        """Lose a value, or all with ``feed``."""
        if name == FEED and FEED not in self._lost:
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

    def _follow_lines(self, now_s: float, lines: dict[str, RampLine]) -> None:
        self._lines = lines
        self.next_due_s = min([line.next_s(now_s) for line in lines.values()], default=inf)

    def _show(self, *, changed: bool = True) -> None:
        self.changes += changed
        state = self._true
        if FEED in self._lost:
            state = AircraftState()
        elif self._lost:
            unknown: dict[str, Value] = dict.fromkeys(self._lost)
            state = put_values(self._specs, state, unknown)
        if not self._lost or state != self.state:  # a lost value that moves changes nothing
            self.state = state
