"""Handle, selection, power, legs with their doors, and lock switches, coupled.

They look at one another until nothing changes any more, so that what the selection saw of the legs
is what they are, and another look at the same time changes nothing.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.errors import LogicError
from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.gear.handle import GearHandle
from panelbridge.logic.gear.locks import GearLocks, fed_leg
from panelbridge.logic.gear.movement import LegFaults, LegsAndDoors, Movement
from panelbridge.logic.gear.parameters import GearPowerParameters
from panelbridge.logic.gear.power import GearPower
from panelbridge.logic.gear.selection import GearSelection
from panelbridge.logic.kit.system import System
from panelbridge.signals import GearPosition, HandleContacts, LegLocks

UP, DOWN = GearPosition.UP, GearPosition.DOWN
MOST_PASSES = 64


class GearInputs(Struct, frozen=True):
    """All that the gear sees of the world.

    Attributes:
        faults: what is broken at legs and doors.
        contacts: of the gear handle.
        simulator: where the simulator's own handle stands; None when unknown.
        struts: the raw squat switches, until the gear was found.
        air_ground: what they say together, settled.
        overridden: the squat switches are overridden for retraction.
        emergency: the emergency extension.
        supplied: there is pressure or bus power for the gear, and it is not broken.
        pace: how fast that drives the legs, above 0 to 1.
        pulled: the circuit breaker of the gear is pulled; None when unknown.
        reset: the reset button; None when unknown.
        fed_locks: lock switches of the feed's legs, with what is broken at them.
        put: where the bench has put legs of the model; None where it has not.
    """

    faults: LegFaults
    contacts: HandleContacts = HandleContacts.UNKNOWN
    simulator: GearPosition | None = None
    struts: tuple[bool | None, ...] = ()
    air_ground: AirGroundFacts = AirGroundFacts()
    overridden: bool = False
    emergency: EmergencyFacts = EmergencyFacts()
    supplied: bool = True
    pace: float = 1.0
    pulled: bool | None = None
    reset: bool | None = None
    fed_locks: tuple[LegLocks, ...] = ()
    put: tuple[float | None, ...] = ()


class GearMemory(Struct, frozen=True):
    """Everything that the gear keeps.

    Attributes:
        inputs: as they were seen last: what comes due comes due under them.
        moved: legs and doors; none with the feed's legs.
        locks: what the lock switches say.
        handle: the handle.
        selection: what is asked of the legs.
        power: what moves them.
        placed: it is known where the gear was found.
    """

    inputs: GearInputs
    moved: LegsAndDoors
    locks: GearLocks
    handle: GearHandle = GearHandle()
    selection: GearSelection = GearSelection()
    power: GearPower = GearPower()
    placed: bool = False

    @property
    def due_s(self) -> float:
        """When the next of them comes due, s."""
        return min(self.handle.due_s, self.power.due_s, self.moved.due_s)


class GearMechanism(System[GearFacts]):
    """What the gear does; ``LandingGear`` says what it is made from, reads and declares."""

    memory: GearMemory
    _names: tuple[str, ...]
    _power: GearPowerParameters
    _movement: Movement
    _own_legs: bool
    _handle_travel_s: float

    def _start(self) -> GearMemory:
        """Before anything is known: the model's legs are locked down, the feed's unknown."""
        count = len(self._names)
        faults = LegFaults((None,) * count, (False,) * count)
        moved, locks = LegsAndDoors(), GearLocks.unknown(count)
        if self._own_legs:
            moved = self._movement.found(DOWN)
            locks = replace(locks, locks=moved.locks(faults))
        return GearMemory(GearInputs(faults), moved, locks)

    def _step(self, now_s: float, inputs: GearInputs) -> GearFacts:
        """What has come due, then what has changed, until nothing is left to do."""
        memory = self._take(now_s, self._run(now_s, self.memory), inputs)
        self.memory = memory = self._run(now_s, self._settle(now_s, memory))
        self.due_s = memory.due_s
        return self._facts(memory)

    def _take(self, now_s: float, memory: GearMemory, inputs: GearInputs) -> GearMemory:
        selection, locks = memory.selection, memory.locks
        handle = memory.handle.take(now_s, inputs.contacts, self._handle_travel_s, self)
        back = memory.placed and memory.inputs.simulator is None and inputs.simulator is not None
        if back and inputs.simulator is not selection.demand:
            selection = selection.lose_agreement()
        if not self._own_legs:
            locks = locks.take(now_s, self._names, inputs.fed_locks, locks.in_transit, self)
        is_put = inputs.put != memory.inputs.put and any(x is not None for x in inputs.put)
        memory = replace(memory, inputs=inputs, handle=handle, selection=selection, locks=locks)
        if is_put:
            moved = self._movement.put(memory.moved, inputs.put)
            return self._found(now_s, replace(memory, moved=moved, placed=True))
        return memory if memory.placed else self._place(now_s, memory)

    def _place(self, now_s: float, memory: GearMemory) -> GearMemory:
        """Find the gear, from the first state that says anything of it."""
        inputs = memory.inputs
        if inputs.simulator is None and all(one is None for one in inputs.struts):
            return memory
        memory = replace(memory, placed=True, inputs=replace(inputs, struts=()))
        flying = all(one is False for one in inputs.struts)
        if inputs.simulator is not UP or not flying or not self._own_legs:
            return memory
        selection, moved = replace(memory.selection, demand=UP), self._movement.found(UP)
        return self._found(now_s, replace(memory, moved=moved, selection=selection))

    def _found(self, now_s: float, memory: GearMemory) -> GearMemory:
        """The legs were found there, not moved there: their locks were unknown before."""
        locks, switches = (
            GearLocks.unknown(len(self._names)),
            memory.moved.locks(memory.inputs.faults),
        )
        locks = locks.take(now_s, self._names, switches, locks.in_transit, self)
        return replace(memory, locks=locks)

    def _run(self, now_s: float, memory: GearMemory) -> GearMemory:
        """What has come due, one after the other: movements before the times of the power."""
        for _ in range(MOST_PASSES):
            due_s = memory.due_s
            if due_s > now_s:
                return memory
            if memory.handle.due_s <= due_s:
                memory = replace(memory, handle=memory.handle.came_due(due_s, self))
            elif memory.moved.due_s <= due_s:
                faults = memory.inputs.faults
                moved = self._movement.came_due(due_s, memory.moved, faults, self)
                memory = replace(memory, moved=moved)
            else:
                memory = replace(memory, power=memory.power.came_due(due_s, self))
            memory = self._settle(due_s, memory)
        raise LogicError("the landing gear does not come to rest: something is always due")

    def _settle(self, now_s: float, memory: GearMemory) -> GearMemory:
        for _ in range(MOST_PASSES):
            after = self._look(now_s, memory)
            if after == memory:
                return memory
            memory = after
        raise LogicError("the landing gear does not come to rest")

    def _look(self, now_s: float, memory: GearMemory) -> GearMemory:
        inputs, locks, moved = memory.inputs, memory.locks, memory.moved
        emergency, faults = inputs.emergency, inputs.faults
        selection = memory.selection.look(
            now_s,
            memory.handle,
            self,
            in_air=inputs.overridden or not inputs.air_ground.ground_for_commands,
            has_weight=inputs.air_ground.has_weight and not inputs.overridden,
            all_up=locks.all_up,
            reference=self._reference(memory),
            locked_out=emergency.extended,
        )
        if not self._own_legs:
            return replace(memory, selection=selection)
        demand = selection.demand
        power = memory.power.look(
            now_s,
            self._power,
            self,
            demand=demand,
            wanted=emergency.means is None and not self._movement.at_end(moved, demand, faults),
            supplied=inputs.supplied,
            reset=inputs.reset,
            may_reset=self._power.reset_in_flight or inputs.air_ground.has_weight,
        )
        moved = self._movement.drive(
            now_s,
            moved,
            demand,
            faults,
            powered=power.drives(self._power),
            held_up=power.holds_up,
            emergency=emergency,
            pace=inputs.pace,
        )
        in_transit = tuple([leg.in_transit for leg in moved.legs])
        locks = locks.take(now_s, self._names, moved.locks(faults), in_transit, self)
        return replace(memory, selection=selection, power=power, moved=moved, locks=locks)

    def _reference(self, memory: GearMemory) -> GearPosition | None:
        """Where the gear is, for the agreement with the handle; None while that is unknown."""
        simulator = memory.inputs.simulator
        if simulator is not None or not memory.placed:
            return simulator
        if self._own_legs:
            return memory.selection.demand
        if memory.locks.all_up:
            return UP
        return DOWN if memory.locks.all_down else None

    def _facts(self, memory: GearMemory) -> GearFacts:
        handle, selection, power = memory.handle, memory.selection, memory.power
        locks, position = memory.locks, memory.handle.known_position
        all_down, all_up = locks.all_down, locks.all_up
        takes_fluid = self._power.power == "hydraulic" and power.is_running
        doors = zip(self._names, memory.moved.doors, strict=False)  # the feed's legs have none
        return GearFacts(
            contacts=handle.contacts,
            handle=position,
            last_handle=handle.position,
            handle_fault=handle.fault,
            selection=selection.state_id,
            demand=selection.demand,
            is_agreeing=selection.is_agreeing,
            is_refused=selection.is_refused,
            locked_out=memory.inputs.emergency.extended,
            legs=self._legs(memory),
            all_down=all_down,
            all_up=all_up,
            doors=tuple([(name, door.word) for name, door in doors if door is not None]),
            doors_latched=not self._own_legs or self._movement.doors_latched(memory.moved),
            agrees=all_down if position is DOWN else position is UP and all_up,
            power=power.word,
            wanted=power.wanted,
            supplied=power.supplied,
            cut_off=power.cut_off,
            flow_l_per_s=self._power.flow_l_per_s if takes_fluid else 0.0,
            lock_faults=locks.faults(self._names),
        )

    def _legs(self, memory: GearMemory) -> tuple[LegFacts, ...]:
        every = memory.locks.locks
        if not self._own_legs:
            return tuple([fed_leg(locks, memory.selection.demand) for locks in every])
        pairs = zip(memory.moved.legs, every, strict=True)
        return tuple(
            [LegFacts(leg.state, leg.travel, locks, leg.in_transit) for leg, locks in pairs]
        )
