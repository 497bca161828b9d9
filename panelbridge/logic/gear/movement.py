"""All legs and doors together: in which order they move, and by what they are driven.

A leg moves only while something drives it: the normal power (see ``power``), or an emergency
extension, which drives every leg down whatever the handle says (14 CFR 23.729(c), before 2017):

* ``air`` presses all legs down at once, without hydraulic or electric power;
* ``free_fall`` opens the up-locks, and the legs fall in times of their own (FAA Airplane Flying
  Handbook ch. 12 p. 245); one that has begun to fall goes on until something else drives it;
* ``hand_pump`` and ``hand_crank`` drive them only while a hand works.

An emergency extension opens doors and closes none. A leg whose door is not open does not move
(FAA-H-8083-31 ch. 12-13).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.emergency.facts import BY_HAND, EmergencyFacts
from panelbridge.logic.gear.doors import Door
from panelbridge.logic.gear.events import EventLog
from panelbridge.logic.gear.legs import Leg, LegFault
from panelbridge.logic.gear.parameters import GearOrderParameters, LegParameters
from panelbridge.signals import GearPosition, LegLocks

T = TypeVar("T")
UP, DOWN = GearPosition.UP, GearPosition.DOWN
NO_EMERGENCY = EmergencyFacts()


class LegFaults(Struct, frozen=True):
    """What is broken at legs and doors.

    Attributes:
        legs: of each leg: how it is broken, or None.
        jammed: of each leg: its door is jammed.
    """

    legs: tuple[str | None, ...] = ()
    jammed: tuple[bool, ...] = ()


class LegsAndDoors(Struct, frozen=True):
    """All legs and their doors.

    Attributes:
        legs: in the order of the aircraft file.
        doors: of each leg; None for a leg without.
        falling: the legs have begun to fall by their own weight.
    """

    legs: tuple[Leg, ...] = ()
    doors: tuple[Door | None, ...] = ()
    falling: bool = False

    @property
    def due_s(self) -> float:
        """When the next of them arrives, s."""
        return min([one.due_s for one in (*self.legs, *self.doors) if one is not None], default=inf)

    def locks(self, faults: LegFaults) -> tuple[LegLocks, ...]:
        """What the lock switches of every leg say."""
        pairs = zip(self.legs, faults.legs, strict=True)
        return tuple([leg.locks(fault) for leg, fault in pairs])


class Movement:
    """The numbers of all legs, and what they do with them; its state is ``LegsAndDoors``.

    Args:
        legs: their parameters.
        order: in which order they move.
    """

    def __init__(self, legs: Sequence[LegParameters], order: GearOrderParameters) -> None:
        self._numbers = tuple(legs)
        names = [leg.name for leg in legs]
        self._groups = {DOWN: _groups(order.extend, names), UP: _groups(order.retract, names)}

    def found(self, position: GearPosition) -> LegsAndDoors:
        """Every leg in a lock, the doors at rest."""
        legs = tuple([Leg.found(position) for _ in self._numbers])
        doors = tuple([self._door_found(one, position) for one in self._numbers])
        return LegsAndDoors(legs, doors)

    def put(self, before: LegsAndDoors, travels: Sequence[float | None]) -> LegsAndDoors:
        """Legs put somewhere, None where they are; over one in transit the door is open."""
        legs, doors = list(before.legs), list(before.doors)
        for place, (numbers, travel) in enumerate(zip(self._numbers, travels, strict=True)):
            if travel is None:
                continue
            legs[place] = leg = Leg.put(travel)
            doors[place] = self._door_found(numbers, DOWN if leg.locked_at(DOWN) else UP)
            if leg.in_transit and doors[place] is not None:
                doors[place] = Door.found(is_open=True)
        return replace(before, legs=tuple(legs), doors=tuple(doors))

    def _door_found(self, numbers: LegParameters, position: GearPosition) -> Door | None:
        door = numbers.door
        if door is None:
            return None
        return Door.found(is_open=position is DOWN and not door.close_when_down)

    def came_due(
        self, now_s: float, before: LegsAndDoors, faults: LegFaults, log: EventLog
    ) -> LegsAndDoors:
        """The first leg or door whose time has come: its lock is open, or it has arrived."""
        for place, (numbers, leg) in enumerate(zip(self._numbers, before.legs, strict=True)):
            if leg.due_s <= now_s:
                leg = leg.came_due(now_s, numbers, faults.legs[place])  # noqa: PLW2901
                return replace(before, legs=_with(before.legs, place, leg))
        for place, (numbers, door) in enumerate(zip(self._numbers, before.doors, strict=True)):
            if door is not None and numbers.door is not None and door.due_s <= now_s:
                door = door.came_due(now_s, numbers.door)  # noqa: PLW2901
                opened = door.is_open
                log.note(now_s, "gear_door_opened" if opened else "gear_door_closed", numbers.name)
                return replace(before, doors=_with(before.doors, place, door))
        return before

    def doors_latched(self, moved: LegsAndDoors) -> bool:
        """No door is anywhere else than a leg at rest wants it."""
        every = zip(self._numbers, moved.legs, moved.doors, strict=True)
        return all(
            door is None
            or door.state_id == "door_closed"
            or (door.is_open and _stays_open(leg, numbers))
            for numbers, leg, door in every
        )

    def at_end(self, moved: LegsAndDoors, demand: GearPosition, faults: LegFaults) -> bool:
        """Every limit switch that ends a movement to ``demand`` is made, those of doors too."""
        if not self.doors_latched(moved):
            return False
        locks = moved.locks(faults)
        return all(leg.is_down if demand is DOWN else leg.is_up for leg in locks)

    def drive(
        self,
        now_s: float,
        before: LegsAndDoors,
        demand: GearPosition,
        faults: LegFaults,
        *,
        powered: bool = True,
        held_up: bool = True,
        emergency: EmergencyFacts = NO_EMERGENCY,
        pace: float = 1.0,
    ) -> LegsAndDoors:
        """Drive every leg and door, or stop them.

        Args:
            now_s: seconds.
            before: legs and doors until now.
            demand: where the legs are asked to go.
            faults: what is broken.
            powered: the normal power drives them now.
            held_up: legs that are up are held there; False only with up-locks that need pressure.
            emergency: what drives them in an emergency.
            pace: how fast the normal power drives them, above 0 to 1.
        """
        means = emergency.means
        pace = pace if means is None else 1.0
        falling = means == "free_fall" or (before.falling and means is None and not powered)
        legs, doors = list(before.legs), list(before.doors)
        for place, numbers in enumerate(self._numbers):
            if faults.legs[place] != LegFault.HUNG:
                legs[place] = legs[place].free(now_s, numbers)
            if not held_up:
                legs[place] = legs[place].let_go(now_s, numbers)
        if means is None and (powered or not falling):
            way, driven, groups = demand, powered, self._groups[demand]
        elif means in BY_HAND:
            way, driven, groups = DOWN, emergency.stroke, self._groups[DOWN]
        else:
            way, driven, groups = DOWN, means is not None, (tuple(range(len(legs))),)
        for group in groups:
            for place in group:
                numbers, leg, door = self._numbers[place], legs[place], doors[place]
                # With the emergency handle pushed back only what left its up-lock goes on falling.
                goes = (driven or (falling and leg.in_transit)) and not leg.locked_at(way)
                free = door is None or door.is_open
                legs[place] = leg = leg.drive(
                    now_s, numbers, way if goes and free else None, fall=falling, pace=pace
                )
                if door is not None and numbers.door is not None:
                    to_open: bool | None = None
                    if goes:
                        to_open = True
                    elif driven and means is None and not _stays_open(leg, numbers):
                        to_open = False
                    if faults.jammed[place]:
                        to_open = None
                    doors[place] = door.drive(now_s, numbers.door, to_open, pace)
            driven = driven and all(legs[place].locked_at(way) for place in group)
        return LegsAndDoors(tuple(legs), tuple(doors), falling)


def _stays_open(leg: Leg, numbers: LegParameters) -> bool:
    """Its door is open over it at rest."""
    return leg.locked_at(DOWN) and numbers.door is not None and not numbers.door.close_when_down


def _with(parts: tuple[T, ...], place: int, part: T) -> tuple[T, ...]:
    return (*parts[:place], part, *parts[place + 1 :])


def _groups(groups: Sequence[Sequence[str]], names: Sequence[str]) -> tuple[tuple[int, ...], ...]:
    """The groups by the places of their legs, those that no group names last."""
    named = {name for group in groups for name in group}
    rest = [name for name in names if name not in named]
    ordered = [*groups, rest] if rest else groups
    return tuple(tuple(names.index(name) for name in group) for group in ordered)
