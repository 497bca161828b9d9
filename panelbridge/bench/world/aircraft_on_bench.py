"""The aircraft of a scenario: values that are set or ramped, and broken on their way to the logic.

A lost value still changes: found again it is what it would have been. The simulator's own
gear handle goes where the panel commands the gear, each time the command changes; a scenario that
puts it elsewhere keeps it there until the next command.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from math import inf
from typing import Any

from msgspec.structs import replace

from panelbridge.bench.language.plan import FEED, AddNoise, FaultKind, RampValues
from panelbridge.bench.world.moving_values import Noise, NoisyValue, RampLine
from panelbridge.feeds.feed_events import feed_event
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue, put_values, values_of
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import Moving
from panelbridge.signals import AircraftState, Commands, Event, Value

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
        self._stuck: dict[str, Value] = {}
        """Values that stay as the logic saw them."""
        self._lines: dict[str, RampLine] = {}
        self._noise: dict[str, Noise] = {}
        self.next_due_s = inf
        """When a ramp, or noise, gives new values."""
        self.events: list[Event] = []
        """Events of the feed since this was emptied."""
        self.state = start
        """The values as the logic gets them."""
        self.changes = 0
        """How often anything has changed but by ramps and noise that go on."""

    @property
    def lost(self) -> Set[str]:
        """Values that are lost, by name; ``feed`` when all of them are."""
        return self._lost

    @property
    def names(self) -> Set[str]:
        """Its values."""
        return self._specs.keys()

    @property
    def broken(self) -> Iterator[tuple[str, FaultKind]]:
        """What is broken, and how."""
        yield from ((name, FaultKind.LOST) for name in sorted(self._lost))
        yield from ((name, FaultKind.STUCK) for name in sorted(self._stuck))

    @property
    def moving(self) -> Mapping[Handle[Any], Moving]:
        """The cells of the values that change by themselves and are neither lost nor stuck."""
        if FEED in self._lost:
            return {}
        broken, found = self._lost | self._stuck.keys(), dict[Handle[Any], Moving]()
        for name in {**self._lines, **self._noise}:
            noise, spec = self._noise.get(name), self._specs[name]
            value = self._lines.get(name) or spec.read(self._true)
            if name in broken or not isinstance(value, (float, RampLine)):
                continue
            if noise is not None:
                found[spec.cell] = NoisyValue(value, noise)
            elif isinstance(value, RampLine):
                found[spec.cell] = value
        return found

    def advance(self, now_s: float) -> None:
        """Take new values; a ramp that has arrived, and noise that has ended, is none any more."""
        lines = self._lines
        values = {name: line.at(now_s) for name, line in lines.items()}
        self._true = put_values(self._specs, self._true, values)
        on_way = {name: line for name, line in lines.items() if line.end_s > now_s}
        noise = {name: one for name, one in self._noise.items() if one.end_s > now_s}
        ended = len(on_way) < len(lines) or len(noise) < len(self._noise)
        if ended:
            lines, self._noise = on_way, noise
        self._follow_lines(now_s, lines)
        self._show(now_s, changed=ended)

    def put(self, now_s: float, values: Mapping[str, Value]) -> None:
        """Set values; one that is on a ramp leaves it."""
        left = {name: line for name, line in self._lines.items() if name not in values}
        self._follow_lines(now_s, left)
        self._true = put_values(self._specs, self._true, values)
        self._show(now_s)

    def ramp(self, now_s: float, action: RampValues) -> None:
        """Begin a ramp. A value that is unknown has nowhere to begin: it is at its target now."""
        lines, begun = {}, dict[str, Value]()
        for name, target in action.targets.items():
            value = self._specs[name].read(self._true)
            begun[name] = first = float(value) if isinstance(value, (int, float)) else target
            lines[name] = RampLine(now_s, now_s + action.over_s, first, target)
        self._follow_lines(now_s, self._lines | lines)
        self._true = put_values(self._specs, self._true, begun)
        self._show(now_s)

    def add_noise(self, now_s: float, action: AddNoise) -> None:
        """Begin noise on values, in place of what noise they have; an amplitude of 0 ends it."""
        noise = {name: one for name, one in self._noise.items() if name not in action.amplitudes}
        for name, amplitude in action.amplitudes.items():
            spec, key = self._specs[name], f"{action.seed} {name}"
            if amplitude:
                noise[name] = Noise(
                    now_s, now_s + action.for_s, amplitude, spec.low, spec.high, key
                )
        self._noise = noise
        self._follow_lines(now_s, self._lines)
        self._show(now_s)

    def follow(self, now_s: float, commands: Commands) -> None:
        """Move the simulator's own handle to where the panel commands the gear."""
        if commands.gear is not None and commands.gear is not self._true.gear_handle:
            self._true = replace(self._true, gear_handle=commands.gear)
            self._show(now_s)

    def break_value(self, now_s: float, name: str, kind: FaultKind) -> None:
        """Lose a value, or all with ``feed``; or hold one as the logic sees it now (STUCK)."""
        if kind is FaultKind.STUCK:
            lost = not self._lost.isdisjoint((FEED, name))
            self._stuck.setdefault(name, self._specs[name].read(self._true if lost else self.state))
        else:
            if name == FEED and FEED not in self._lost:
                self.events.append(feed_event(now_s, _HERE, fresh=False))
            self._lost.add(name)
        self._show(now_s)

    def mend_value(self, now_s: float, name: str, kind: FaultKind) -> None:
        """Find a value again, or with ``feed`` all that are not broken by themselves."""
        if kind is FaultKind.STUCK:
            self._stuck.pop(name, None)
        elif name in self._lost:
            self._lost.discard(name)
            if name == FEED:
                self.events.append(feed_event(now_s, _HERE, fresh=True))
        self._show(now_s)

    def _follow_lines(self, now_s: float, lines: dict[str, RampLine]) -> None:
        self._lines = lines
        moving: tuple[RampLine | Noise, ...] = (*lines.values(), *self._noise.values())
        self.next_due_s = min([one.next_s(now_s) for one in moving], default=inf)

    def _show(self, now_s: float, *, changed: bool = True) -> None:
        self.changes += changed
        state = self._true
        if FEED in self._lost:
            state = AircraftState()
        elif self._noise or self._lost or self._stuck:
            seen = self._noisy(now_s) | self._stuck | dict.fromkeys(self._lost)
            state = put_values(self._specs, state, seen)
        broken = self._lost or self._stuck
        if not broken or state != self.state:  # a lost value that moves changes nothing
            self.state = state

    def _noisy(self, now_s: float) -> dict[str, Value]:
        """Values with their noise; an unknown one has none."""
        found: dict[str, Value] = {}
        for name, noise in self._noise.items():
            value = self._specs[name].read(self._true)
            found[name] = noise.over(value, now_s) if isinstance(value, float) else value
        return found
