"""The generic step: runs each system whose reads have changed or whose time has come.

What a system has read in an update is noted; a change of it, and of nothing else, makes the system
due. A number that is read through thresholds alone has one band: inside it, nothing is done.
Systems run in their order, and the pass is repeated while facts change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf
from typing import Any

from panelbridge.errors import LogicError
from panelbridge.logic.kit.handles import Handle, Switch
from panelbridge.logic.kit.noted import NOTED, Noted
from panelbridge.logic.kit.readings import Reading, Threshold
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import (
    FactsField,
    FrozenCells,
    NotedFacts,
    RecordingWorld,
    World,
    fields_of,
)
from panelbridge.signals import Event

MOST_PASSES = 8
_NO_BAND, _EVERY_NUMBER = (inf, -inf), (-inf, inf)
Saved = tuple[Any, ...]
"""Plain data: comparable and picklable."""


class _Slot:
    """A system in the order, what it read last, and when it is due: at once when that changed."""

    __slots__ = ("due_s", "keys", "kind", "places", "seen", "system")

    def __init__(self, system: System[Any], seen: NotedFacts) -> None:
        self.system = system
        self.kind = type(system.facts)
        self.seen = seen  # its facts as updates see them
        self.keys: tuple[Any, ...] = ()
        self.places: tuple[int, ...] = ()  # of the keys
        self.due_s = -inf


class SystemStep:
    """Systems in their order, over one set of cells.

    Args:
        systems: in their order; what one publishes the later ones see in the same pass.
        inputs: handles whose cells are set from outside; switches, faults and
            placings of the systems are added.
    """

    def __init__(self, systems: Sequence[System[Any]], inputs: Iterable[Handle[Any]] = ()) -> None:
        self.systems = tuple(systems)
        cells: dict[Any, Any] = dict.fromkeys((*inputs, *NOTED.values()))
        self._readings: dict[Handle[float], list[Reading[Any]]] = {}
        for system in systems:
            cells.update(dict.fromkeys((*system.switches, *system.faults, *system.placings)))
            for reading in system.readings:
                cells[reading] = None
                self._readings.setdefault(reading.of, []).append(reading)
        cells.update(dict.fromkeys([one.reported for one in cells if isinstance(one, Switch)]))
        kinds = [type(system.facts) for system in systems]
        cells.update({type(system.facts): system.facts for system in systems})
        self.cells = cells
        """What is known, by key; set from outside only within a band of ``quiet``."""
        self._places = {key: place for place, key in enumerate(cells)}
        self._keys = (*cells, *[field for kind in kinds for field in fields_of(kind)])
        self._key_places = {key: place for place, key in enumerate(self._keys)}
        self._seen = RecordingWorld(cells, kinds)
        self._slots = [_Slot(one, self._seen.noted[type(one.facts)]) for one in systems]
        self._kept: dict[Reading[Any], Any] = dict.fromkeys(
            [one for one in cells if isinstance(one, Threshold) and one.keeps]
        )
        self._bands: dict[Handle[float], tuple[float, float]] = dict.fromkeys(
            self._readings, _NO_BAND
        )
        self.quiet = dict(self._bands)
        """By number: while low < number <= high no system has to look at a change of it."""
        self._readers: dict[Any, list[_Slot]] = {}
        self.changes = 0
        """How often facts have changed."""
        self.next_due_s = inf
        """When a system wants an update though nothing changes, s; inf before the first look."""

    def world(self, now_s: float) -> World:
        """The world as it is now, for what shows or explains it; later steps change it."""
        return World(self.cells, now_s)

    def snapshot(self, now_s: float) -> World:
        """The world as it is now; later steps leave it as it is."""
        return World(FrozenCells(self._places, tuple(self.cells.values())), now_s)

    def read_by(self, system: System[Any]) -> tuple[Any, ...]:
        """What a system read in its last update: handles, and classes of facts."""
        keys = next(slot.keys for slot in self._slots if slot.system is system)
        every = [key.kind if isinstance(key, FactsField) else key for key in keys]
        return tuple(dict.fromkeys(every))

    def set(self, handle: Handle[Any], value: Any) -> bool:
        """Set a cell from outside; True when a system has to look. Not a number is unknown."""
        cells, band = self.cells, self.quiet.get(handle)
        if band is not None and value is not None and band[0] < value <= band[1]:
            cells[handle] = value
            return False
        if value != value:  # noqa: PLR0124
            value = None
        if value == cells[handle]:
            return False
        cells[handle] = value
        woken = self._wake(handle)
        if handle in self._readings:
            low, high = self._bands[handle]
            if value is None or not low < value <= high:
                woken = self._read_again(handle, value) or woken
        elif not woken and type(value) is float:
            self.quiet[handle] = _EVERY_NUMBER  # until a system reads it
        return woken

    def set_switch(self, switch: Switch[Any], position: Any) -> bool:
        """Set a switch; one that stays where it is put keeps its effect while it is unknown."""
        if not switch.stays:
            return self.set(switch, position)
        woken = self.set(switch.reported, position)
        before, is_lost = self.cells[switch], self.cells[switch.reported] is None
        if is_lost and before is not None and not switch.at_rest(before):
            return woken
        return self.set(switch, position) or woken

    def _wake(self, key: Any) -> bool:
        """Let every system look that has read the cell; False when none has."""
        slots = self._readers.get(key)
        if not slots:
            return False
        for slot in slots:
            slot.due_s = -inf
        return True

    def _read_again(self, handle: Handle[float], value: float | None) -> bool:
        cells, kept, woken = self.cells, self._kept, False
        low, high = (-inf, inf) if value is not None else _NO_BAND
        for reading in self._readings[handle]:
            before = cells[reading]
            if before is None:
                before = kept.get(reading)
            now = reading.take(value, before)
            if now is not None:
                if reading in kept:
                    kept[reading] = now
                least, most = reading.band(now)
                low, high = max(low, least), min(high, most)
            if now != cells[reading]:
                cells[reading] = now
                woken = self._wake(reading) or woken
        self._bands[handle] = low, high
        self.quiet[handle] = _NO_BAND if self._readers.get(handle) else (low, high)
        return woken

    def look(self, now_s: float) -> list[Event]:
        """Run every system that has something to decide, until none has.

        Raises:
            LogicError: they do not come to rest.
        """
        events: list[Event] = []
        for _ in range(MOST_PASSES):
            changed: list[str] = []
            next_due_s = inf
            for slot in self._slots:
                if slot.due_s <= now_s and self._run(slot, now_s, events):
                    changed.append(type(slot.system).__name__)
                if slot.due_s < next_due_s:  # noqa: PLR1730 - quicker than min, in every look
                    next_due_s = slot.due_s
            if not changed:
                break
        else:
            raise LogicError(f"systems do not come to rest: {', '.join(changed)}")
        self.next_due_s = next_due_s
        return events

    def _run(self, slot: _Slot, now_s: float, events: list[Event]) -> bool:
        """Update one system; True when its facts have changed."""
        system, world = slot.system, self._seen
        world.now_s = now_s
        world.read.clear()
        facts = system.update(now_s, world)
        due_s = system.due_s
        if due_s <= now_s:  # an update that sets no later time wants none
            due_s = system.due_s = inf
        slot.due_s = due_s
        keys = tuple(world.read)
        if keys != slot.keys:
            self._reads(slot, keys, tuple([self._key_places[key] for key in keys]))
        if system.noted:
            events += system.noted
            self._count(system.noted)
            system.noted = []
        before = system.facts
        if facts is before or facts == before:
            return False
        system.facts = self.cells[slot.kind] = slot.seen.facts_now = facts
        self.changes += 1
        for field in fields_of(slot.kind):
            if field in self._readers and field.of(facts) != field.of(before):
                self._wake(field)
        self._wake(slot.kind)
        return True

    def _count(self, noted: Iterable[Event]) -> None:
        for event in noted:
            handle = NOTED.get(event.level)
            if handle is not None:
                before = self.cells[handle]
                self.cells[handle] = Noted(before.number + 1 if before else 1, event)
                self._wake(handle)

    def _reads(self, slot: _Slot, keys: tuple[Any, ...], places: tuple[int, ...]) -> None:
        """A system has read other keys than before."""
        readers, bands, before = self._readers, self._bands, slot.keys
        slot.keys, slot.places = keys, places
        for key in before:
            if key not in keys:
                readers[key].remove(slot)
                if key in bands and not readers[key]:
                    self.quiet[key] = bands[key]
        for key in keys:
            if key not in before:
                readers.setdefault(key, []).append(slot)
                if key in self.quiet:
                    self.quiet[key] = _NO_BAND

    # -- plain data -----------------------------------------------------------------------------

    def save(self) -> Saved:
        """All state, as plain data."""
        slots = self._slots
        return (
            tuple(self.cells.values()),
            tuple([slot.system.memory for slot in slots]),
            tuple([slot.due_s for slot in slots]),
            tuple([slot.places for slot in slots]),
            tuple(self._kept.values()),
            tuple(self._bands.values()),
            self.next_due_s,
            self.changes,
        )

    def restore(self, saved: Saved) -> None:
        """Put back what ``save`` of a step over the same systems gave."""
        values, memories, dues, reads, kept, bands, self.next_due_s, self.changes = saved
        self.cells.update(zip(self._places, values, strict=True))
        self._kept = dict(zip(self._kept, kept, strict=True))
        self._bands = dict(zip(self._bands, bands, strict=True))
        for slot, memory, due_s, places in zip(self._slots, memories, dues, reads, strict=True):
            system = slot.system
            system.memory = memory
            system.due_s = slot.due_s = due_s
            system.facts = slot.seen.facts_now = self.cells[slot.kind]
            if places != slot.places:
                self._reads(slot, tuple([self._keys[place] for place in places]), places)
        self.quiet.clear()
        for handle, band in self._bands.items():
            self.quiet[handle] = _NO_BAND if self._readers.get(handle) else band
