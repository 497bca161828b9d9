"""All legs together: in which order they move, with their doors, and by what they are driven.

A leg moves only while something drives it: the normal power (see ``gear_power``), or an emergency
extension, which drives every leg down whatever the handle says (14 CFR 23.729(c), before 2017):

* ``air`` presses all legs down at once, without hydraulic or electric power;
* ``free_fall`` opens the up-locks, and the legs fall in times of their own (FAA Airplane Flying
  Handbook ch. 12 p. 245); one that has begun to fall goes on until something else drives it;
* ``hand_pump`` drives them only while a stroke gives pressure.

An emergency extension opens doors and closes none. A leg whose door is not open does not move
(FAA-H-8083-31 ch. 12-13).
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_doors import Door, DoorFault, DoorState
from panelbridge.logic.legs import Leg, LegFault, LegName, LegParameters
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, LegLocks, Value

EmergencyMeans = Literal["air", "free_fall", "hand_pump"]
UP, DOWN = GearPosition.UP, GearPosition.DOWN
LegGroups = list[Annotated[list[LegName], Field(min_length=1)]]


class GearOrderParameters(Parameters):
    """In which order the legs move; a group begins when the one before it is locked."""

    extend: LegGroups = Field(default=[])
    """Groups of legs, by name, in the order in which they go down; legs that no group names go
    last. Empty: all at once."""
    retract: LegGroups = Field(default=[])
    """The same for going up."""

    @model_validator(mode="after")
    def _each_leg_once(self) -> Self:
        for key, groups in (("extend", self.extend), ("retract", self.retract)):
            names = [name for group in groups for name in group]
            for name in names:
                if names.count(name) > 1:
                    raise PydanticCustomError(
                        "leg_ordered_twice",
                        "{key} names the leg '{name}' twice",
                        {"key": key, "name": name},
                    )
        return self

    @property
    def named(self) -> frozenset[str]:
        """Every leg that is named: there must be one of that name."""
        return frozenset(name for group in (*self.extend, *self.retract) for name in group)


class Gear(System):
    """All legs and their doors.

    Args:
        legs: their parameters.
        timers: for their movements.
        log: takes the events of the doors.
        order: in which order they move.
    """

    timer_prefix = "gear"

    def __init__(
        self,
        legs: Sequence[LegParameters],
        timers: TimerHeap,
        log: EventLog,
        order: GearOrderParameters | None = None,
    ) -> None:
        self._parameters = tuple(legs)
        self._timers = timers
        self._log = log
        order = order or GearOrderParameters()
        names = [leg.name for leg in legs]
        self._groups = {DOWN: _groups(order.extend, names), UP: _groups(order.retract, names)}
        self._faults: dict[str, LegFault | DoorFault | None] = {}
        self._falling = False
        self.legs: tuple[Leg, ...] = ()
        self._doors: dict[str, Door] = {}
        self.fault_kinds: Mapping[str, tuple[str, ...]] = {
            **{name: tuple(LegFault) for name in names},
            **{f"{leg.name}_door": tuple(DoorFault) for leg in legs if leg.door is not None},
        }
        self.published: tuple[ValueInfo, ...] = tuple(
            ValueInfo(
                f"{leg.name}_door",
                "word",
                f"door of the {leg.name} leg",
                words=tuple(state.value for state in DoorState),
            )
            for leg in legs
            if leg.door is not None
        )
        self.place(DOWN)

    def place(self, position: GearPosition) -> None:
        """Put every leg into a lock without a movement: where it is found at the start."""
        self.legs = tuple(
            Leg(leg, ("gear", "leg", leg.name), self._timers, position) for leg in self._parameters
        )
        self._by_name = {leg.parameters.name: leg for leg in self.legs}
        self._doors = {
            leg.name: Door(
                leg.door,
                ("gear", "door", leg.name),
                self._timers,
                is_open=position is DOWN and not leg.door.close_when_down,
            )
            for leg in self._parameters
            if leg.door is not None
        }
        for target, fault in self._faults.items():
            self._break(0.0, target, fault)

    @property
    def locks(self) -> tuple[LegLocks, ...]:
        """What the lock switches of every leg say."""
        return tuple([leg.locks for leg in self.legs])

    @property
    def in_transit(self) -> tuple[bool, ...]:
        """Of every leg: it is locked at neither end, sensed apart from its lock switches."""
        return tuple([leg.in_transit for leg in self.legs])

    @property
    def doors_latched(self) -> bool:
        """No door is anywhere else than a leg at rest wants it."""
        return all(self._door_at_rest(name) for name in self._doors)

    def at_end(self, demand: GearPosition) -> bool:
        """Every limit switch that ends a movement to ``demand`` is made, those of doors too."""
        if not self.doors_latched:
            return False
        if demand is DOWN:
            return all(leg.locks.is_down for leg in self.legs)
        return all(leg.locks.is_up for leg in self.legs)

    def update(
        self,
        now_s: float,
        *,
        demand: GearPosition,
        powered: bool = True,
        held_up: bool = True,
        emergency: EmergencyMeans | None = None,
        stroke: bool = False,
    ) -> None:
        """Have every leg and door do what it is to do now.

        Args:
            now_s: seconds.
            demand: where the legs are asked to go.
            powered: the normal power drives them now.
            held_up: legs that are up are held there; False only with up-locks that need pressure.
            emergency: by what an emergency extension drives them; None while there is none.
            stroke: with the hand pump: a stroke gives pressure now.
        """
        if emergency == "free_fall":
            self._falling = True
        elif emergency is not None or powered:
            self._falling = False
        if not held_up:
            for leg in self.legs:
                leg.let_go(now_s)
        if emergency is None and (powered or not self._falling):
            self._in_order(now_s, demand, driven=powered, close=True)
        elif emergency == "hand_pump":
            self._in_order(now_s, DOWN, driven=stroke, close=False)
        else:
            for leg in self.legs:
                # With the handle pushed back only what has left its up-lock goes on falling.
                driven = emergency is not None or leg.in_transit
                self._move(now_s, leg, DOWN, driven=driven, close=False, fall=self._falling)

    def values(self, now_s: float) -> Mapping[str, Value]:
        """Where each door is."""
        return {f"{name}_door": door.state.value for name, door in self._doors.items()}

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """A leg's or a door's timer came due."""
        assert isinstance(name, tuple)
        _, part, leg = name
        if part == "leg":
            self._by_name[leg].timer_due(now_s)
            return
        door = self._doors[leg]
        door.timer_due(now_s)
        opened = door.state is DoorState.OPEN
        self._log.note(now_s, "gear_door_opened" if opened else "gear_door_closed", leg)

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a leg or a door, or mend it."""
        fault: LegFault | DoorFault | None = None
        if kind is not None:
            fault = LegFault(kind) if target in self._by_name else DoorFault(kind)
        self._faults[target] = fault
        self._break(now_s, target, fault)

    def _break(self, now_s: float, target: str, fault: LegFault | DoorFault | None) -> None:
        if target in self._by_name:
            assert not isinstance(fault, DoorFault)
            self._by_name[target].set_fault(now_s, fault)
        else:
            self._doors[target.removesuffix("_door")].jam(now_s, jammed=fault is not None)

    def _in_order(self, now_s: float, demand: GearPosition, *, driven: bool, close: bool) -> None:
        turn = driven
        for group in self._groups[demand]:
            for number in group:
                self._move(now_s, self.legs[number], demand, driven=turn, close=close)
            turn = turn and all(self.legs[number].locked_at(demand) for number in group)

    def _move(
        self,
        now_s: float,
        leg: Leg,
        way: GearPosition,
        *,
        driven: bool,
        close: bool,
        fall: bool = False,
    ) -> None:
        """One leg and its door: open the door, move the leg, close the door."""
        name = leg.parameters.name
        door = self._doors.get(name)
        there = leg.locked_at(way)
        goes = driven and not there
        if door is None:
            leg.drive(now_s, way if goes else None, fall=fall)
            return
        leg.drive(now_s, way if goes and door.state is DoorState.OPEN else None, fall=fall)
        if goes and not leg.locked_at(way):
            door.drive(now_s, to_open=True)
        elif driven and close and not self._stays_open(leg, door):
            door.drive(now_s, to_open=False)
        else:
            door.drive(now_s, to_open=None)

    def _stays_open(self, leg: Leg, door: Door) -> bool:
        return leg.locked_at(DOWN) and not door.parameters.close_when_down

    def _door_at_rest(self, name: str) -> bool:
        door, leg = self._doors[name], self._by_name[name]
        if door.state is DoorState.CLOSED:
            return True
        return door.state is DoorState.OPEN and self._stays_open(leg, door)


def _groups(groups: Sequence[Sequence[str]], names: Sequence[str]) -> tuple[tuple[int, ...], ...]:
    """The groups by the places of their legs, those that no group names last."""
    named = {name for group in groups for name in group}
    rest = [name for name in names if name not in named]
    ordered = [*groups, rest] if rest else groups
    return tuple(tuple(names.index(name) for name in group) for group in ordered)
