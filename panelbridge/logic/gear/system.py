"""The landing gear as one system: what it reads of the world, and what it declares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Self

from panelbridge.logic.air_ground.facts import AirGroundFacts, SquatOverrideFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.gear.doors import DOOR_FAULTS, DoorChart
from panelbridge.logic.gear.events import GEAR_EVENTS
from panelbridge.logic.gear.facts import GEAR_HANDLE, GEAR_RESET, GearFacts, lock_reason
from panelbridge.logic.gear.handle import HandleChart
from panelbridge.logic.gear.legs import FREE_LOCKS, LegChart, LegFault, broken_locks
from panelbridge.logic.gear.mechanism import GearInputs, GearMechanism
from panelbridge.logic.gear.misfits import gear_misfits
from panelbridge.logic.gear.movement import LegFaults, Movement
from panelbridge.logic.gear.parameters import (
    GearOrderParameters,
    GearPowerParameters,
    LegParameters,
)
from panelbridge.logic.gear.power import GearPowerChart
from panelbridge.logic.gear.rules import HANDLE_RULES, POWER_RULES, leg_lamps
from panelbridge.logic.gear.selection import SelectionChart
from panelbridge.logic.gear.source import GEAR_BREAKER, PowerSource
from panelbridge.logic.gear.values import asked, gear_values
from panelbridge.logic.kit.aircraft_cells import SIMULATOR_HANDLE, leg_locks, strut
from panelbridge.logic.kit.declarations import CommandSignal, Group, Lamp, Misfit, Want
from panelbridge.logic.kit.handles import Fault, Placing, Switch
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, HandleContacts, LegLocks, LegView, Reason

UP, DOWN = GearPosition.UP, GearPosition.DOWN


class LandingGear(GearMechanism):
    """The landing gear.

    Args:
        legs: their parameters.
        power: what moves them.
        order: in which order they move.
        own_legs: they are legs of the model; else the feed reports their lock switches.
        handle_travel_s: longest time of the gear handle between its contacts, s.
    """

    title = "Gear power and doors"
    groups = (
        Group("gear_power", GearPowerParameters, "What moves the legs.", GearPowerParameters()),
        Group(
            "gear_order",
            GearOrderParameters,
            "In which order the legs move.",
            GearOrderParameters(),
        ),
    )
    switches: tuple[Switch[Any], ...] = (GEAR_HANDLE, GEAR_RESET, GEAR_BREAKER)
    charts = (HandleChart, SelectionChart, GearPowerChart, LegChart, DoorChart)
    events = GEAR_EVENTS
    commands = (CommandSignal("gear", "where the gear is asked to go", asked),)

    def __init__(
        self,
        legs: Sequence[LegParameters],
        power: GearPowerParameters | None = None,
        order: GearOrderParameters | None = None,
        *,
        own_legs: bool = True,
        handle_travel_s: float = 1.0,
        fixed_legs: int = 0,
    ) -> None:
        super().__init__()
        self._names = tuple([leg.name for leg in legs])
        self._power = power or GearPowerParameters()
        self._source = PowerSource(self._power)
        self._movement = Movement(legs, order or GearOrderParameters())
        self._own_legs = own_legs
        self._handle_travel_s = handle_travel_s
        places = range(len(legs))
        self._struts = [strut(place) for place in range(len(legs) + fixed_legs)]
        self._fed_locks = [leg_locks(place) for place in places]
        self._leg_faults = [Fault(leg.name, tuple(LegFault)) for leg in legs]
        self._door_faults = [
            Fault(f"{leg.name}_door", DOOR_FAULTS) if own_legs and leg.door else None
            for leg in legs
        ]
        self.placings = tuple([Placing(leg.name) for leg in legs]) if own_legs else ()
        self._power_fault = Fault("gear_power", ("failed",))
        limited = self._power.travel_limit_s is not None
        has_power = own_legs and self._power.power != "none_needed"
        self.switches = (GEAR_HANDLE, GEAR_RESET) if limited else (GEAR_HANDLE,)
        if own_legs:
            self.switches += self._source.switches
            self.readings = self._source.readings
        if not (own_legs and self._source.has_breaker):
            self.never_notes("gear_breaker_pulled", "gear_breaker_pushed_in")
        self.faults = (*self._leg_faults, *[fault for fault in self._door_faults if fault])
        handle_red = Lamp(
            "handle_red", "gear handle light", HANDLE_RULES, warning_tested=True, legend="HANDLE"
        )
        self.lamps = (*leg_lamps(self._names), handle_red)
        if has_power:
            self.faults += (self._power_fault,)
            label = "power of the gear cut off or missing"
            self.lamps += (Lamp("gear_power_amber", label, POWER_RULES, legend="GEAR POWER"),)
        self.values = gear_values(legs, own_legs=own_legs)
        if not (limited and has_power):
            self.never_notes("gear_power_cut_off", "gear_power_reset", "gear_reset_refused")
        if self._power.reset_in_flight:
            self.never_notes("gear_reset_refused")
        if self._power.uplocks == "mechanical" or not own_legs:
            self.never_notes("gear_up_pressure_lost")
        if not own_legs or not any(leg.door for leg in legs):
            self.never_notes("gear_door_opened", "gear_door_closed")
        self.memory = self._start()
        self.facts = self._facts(self.memory)

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has legs."""
        aircraft = build.aircraft
        gear = cls(
            aircraft.legs,
            aircraft.group(GearPowerParameters),
            aircraft.group(GearOrderParameters),
            own_legs=aircraft.authority.legs == "model",
            handle_travel_s=build.panel.handle_travel_s,
            fixed_legs=len(aircraft.fixed_legs),
        )
        if aircraft.optional(EmergencyParameters) is None:
            gear.never_notes("retract_locked_out")
        return gear

    def update(self, now_s: float, world: World) -> GearFacts:
        """Act on what has come due, then on what has changed."""
        broken = [world[fault] for fault in self._leg_faults]
        jammed = [fault is not None and world[fault] is not None for fault in self._door_faults]
        fed: list[LegLocks] = []
        if not self._own_legs:
            pairs = zip(self._fed_locks, broken, strict=True)
            fed = [_fed(world[cell], fault) for cell, fault in pairs]
        inputs = GearInputs(
            LegFaults(tuple(broken), tuple(jammed)),
            contacts=world[GEAR_HANDLE] or HandleContacts.UNKNOWN,
            simulator=world[SIMULATOR_HANDLE],
            struts=() if self.memory.placed else tuple([world[one] for one in self._struts]),
            air_ground=world.whole(AirGroundFacts),
            overridden=world[SquatOverrideFacts].in_use,
            emergency=world.whole(EmergencyFacts),
            supplied=not self._own_legs or self._is_supplied(world),
            pace=self._source.pace(world) if self._own_legs else 1.0,
            pulled=self._follow_breaker(now_s, world),
            reset=world[GEAR_RESET],
            fed_locks=tuple(fed),
            put=tuple([world[one] for one in self.placings]),
        )
        return self._step(now_s, inputs)

    def _follow_breaker(self, now_s: float, world: World) -> bool | None:
        """Whether the circuit breaker is pulled; one that is found pulled gives no event."""
        if not self._source.has_breaker:
            return None
        was, pulled = self.memory.inputs.pulled, world[GEAR_BREAKER]
        if None not in (was, pulled) and was is not pulled:
            self.note(now_s, "gear_breaker_pulled" if pulled else "gear_breaker_pushed_in")
        return pulled

    def _is_supplied(self, world: World) -> bool:
        if self._power.power == "none_needed":
            return True
        return world[self._power_fault] is None and self._source.is_there(world)

    # -- reasons and views ------------------------------------------------------------------------

    def words(self, world: World) -> Words:
        """What decides the light in the handle and the caution of the power, in words."""
        facts, numbers = world[GearFacts], self._power
        end, contacts = facts.handle, facts.contacts.value
        legs = []
        if end is not None:
            for name, leg in zip(self._names, facts.legs, strict=True):
                legs.append(lock_reason(name, leg.locks, end, in_transit=leg.in_transit))
        limit_s = None if numbers.power == "none_needed" else numbers.travel_limit_s
        limit = "no travel limit" if limit_s is None else f"travel limit {limit_s:g} s"
        source = self._source.in_words(world)
        return {
            "agrees": (Reason("gear handle at one of its ends", end is not None, contacts), *legs),
            "doors_latched": (Reason("doors of the gear latched", facts.doors_latched),),
            "wanted": (Reason("leg or door not where commanded", facts.wanted),),
            "supplied": (Reason("power for the gear", facts.supplied, source),),
            "cut_off": (Reason("gear power cut off", facts.cut_off, limit),),
        }

    def words_of(self, lamp: Lamp, world: World) -> Words:
        """The same for a lamp of one leg."""
        name = lamp.name.rsplit("_", 1)[0]
        if name not in self._names:
            return self.words(world)
        leg = world[GearFacts].legs[self._names.index(name)]
        return {
            "is_down": (lock_reason(name, leg.locks, DOWN),),
            "is_up": (lock_reason(name, leg.locks, UP),),
            "in_transit": (
                Reason(f"{name.replace('_', ' ')} leg sensed in transit", leg.in_transit),
            ),
        }

    def failures(self) -> tuple[str, ...]:
        """Contacts of the handle, lock switches, power that is cut off."""
        facts = self.facts
        handle = (facts.handle_fault,) if facts.handle_fault else ()
        power = ("the gear's power was cut off by its travel limit",) if facts.cut_off else ()
        return (*handle, *facts.lock_faults, *power)

    def shows(self, world: World) -> Mapping[str, Any]:
        """Legs, handle and selection."""
        facts = world[GearFacts]
        struts = (*world[AirGroundFacts].struts, *(None,) * len(self._names))
        legs = []
        for name, leg, compressed in zip(self._names, facts.legs, struts, strict=False):
            travel = None if leg.travel is None else leg.travel.at(world.now_s)
            legs.append(LegView(name, leg.state, travel, compressed, leg.locks))
        return {
            "legs": tuple(legs),
            "handle": facts.last_handle,
            "gear_demand": None if facts.is_agreeing else facts.demand,
            "selection_state": facts.selection,
            "gear_disagrees": not facts.agrees,
        }

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Legs that are not there or too slow, power that no supply gives or that is none."""
        yield from gear_misfits(aircraft)

    @classmethod
    def wants(cls, aircraft: Any) -> Iterator[Want]:
        """The voltage, for an electric gear that is slower at a low one."""
        if aircraft.group(GearPowerParameters).nominal_v is not None:
            loss = "the gear has its full pace at any voltage"
            yield Want(("bus_voltage_v",), loss, "Give it, or leave 'nominal_v' out")


def _fed(locks: LegLocks | None, fault: str | None) -> LegLocks:
    """Lock switches of a leg of the feed; a hung one reads as not locked at either end."""
    return FREE_LOCKS if fault == LegFault.HUNG else broken_locks(locks or LegLocks(), fault)
