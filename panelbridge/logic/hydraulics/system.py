"""Hydraulics: supplies, accumulator, reservoir; who has pressure, and what the pilot sees of it.

Every engine's supply and the auxiliary pump feed one pressure line with a gas accumulator; each
serves its own list of consumers, and any one engine suffices. Pressure is indicated (14 CFR
29.1435(a)(3)), never above relief, and never below the precharge while fluid is in the accumulator
(US Army TM 55-1510-222-10). Low fluid is a caution that a switch can test (US Army
TM 1-1510-262-10). Whether pressure is low is a recorded parameter (14 CFR 135.152).

With the authority ``feed`` the feed's pressure is the pressure, and unknown serves nobody: pressure
switch and lamps work on it, and the reservoir knows of leaks only.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import nextafter
from typing import Any, Self

from msgspec.structs import replace

from panelbridge.logic.brakes.facts import BrakeSupplyFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.hydraulics.consumers import consumer_signals
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.fluid import Flows, Plumbing
from panelbridge.logic.hydraulics.gauge import gauge_of
from panelbridge.logic.hydraulics.limits import UNKNOWN, Limits, LimitSides
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.hydraulics.record import (
    EVENTS,
    HydraulicPressureChart,
    HydraulicsMemory,
    events_between,
    facts_of,
)
from panelbridge.logic.hydraulics.report import failures_of, lamps_of, signals_of, words_of
from panelbridge.logic.hydraulics.supplies import (
    AuxPump,
    AuxPumpChart,
    EngineSupply,
    failed_of,
    given_by,
    served_by,
)
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, engine_running
from panelbridge.logic.kit.declarations import CommandSignal, Group, Misfit
from panelbridge.logic.kit.handles import Button, Fault, OneContact, Toggle
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World

AUX_PUMP = Toggle(
    "aux_pump",
    "auxiliary pump",
    "Closed: the auxiliary hydraulic pump is switched on.",
    required=True,
)
FLUID_TEST = Button("fluid_test", "low-fluid test", "Held: tests the low-fluid sensor.")
_GAUGE, _GAUGE_SIGNAL = gauge_of(HydraulicsFacts)


class Hydraulics(System[HydraulicsFacts]):
    """The hydraulic system.

    Args:
        parameters: its numbers.
        engines: how many engines the aircraft has.
        fed: the feed is the authority for the pressure.
    """

    title = "Hydraulics"
    groups = (
        Group(
            "hydraulics",
            HydraulicsParameters | None,
            "Hydraulic system; null for an aircraft without: then what needs pressure has none.",
        ),
    )
    switches: tuple[OneContact, ...] = (AUX_PUMP, FLUID_TEST)
    charts = (AuxPumpChart, HydraulicPressureChart)
    events = EVENTS
    commands = (
        CommandSignal(
            "aux_pump", "auxiliary pump runs", lambda w: w[HydraulicsFacts].aux == "pumping"
        ),
        CommandSignal("consumers", "consumers with pressure", lambda w: w[HydraulicsFacts].served),
    )
    gauges = (_GAUGE,)
    memory: HydraulicsMemory

    def __init__(self, parameters: HydraulicsParameters, engines: int, *, fed: bool) -> None:
        super().__init__()
        self._parameters, self._fed = parameters, fed
        self._engines = tuple([engine_running(place) for place in range(engines)])
        self._limits = Limits(parameters, fed=fed)
        gas = parameters.gas()
        self._plumbing = Plumbing(
            total_l=parameters.reservoir_l,
            nominal_l=gas.volume_l(parameters.nominal_psi),
            relief_l=gas.volume_l(parameters.relief_psi),
            accumulator_marks=self._limits.accumulator_marks,
            reservoir_marks=(parameters.fluid_low_l, parameters.fluid_clear_l),
        )
        aux = parameters.aux_pump
        self._supplies = tuple(
            [
                (
                    each,
                    engine_running(each.engine - 1),
                    Fault(f"engine_{each.engine}_supply", ("failed",)),
                )
                for each in parameters.supplies
            ]
        )
        self._aux_fault = Fault("aux_pump", ("failed", "runs_on"))
        self._leak = Fault("hydraulics", ("leaking",))
        self.switches = type(self).switches if aux else (FLUID_TEST,)
        self.readings = self._limits.readings
        self.faults = (*[fault for _, _, fault in self._supplies], self._leak)
        if aux:
            self.faults += (self._aux_fault,)
        else:
            self.never_notes(*[name for name in EVENTS if name.startswith("aux_pump")])
        self.lamps = lamps_of(parameters)
        self.values = (_GAUGE_SIGNAL, *signals_of(parameters), *consumer_signals(parameters))
        self.memory = HydraulicsMemory(
            fluid=self._plumbing.at_rest(),
            sides=UNKNOWN if fed else LimitSides(),
            engines=(EngineSupply(),) * len(parameters.supplies),
        )
        self.facts = facts_of(self.memory, parameters, fed=fed, fluid_test=None)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without hydraulics."""
        aircraft = build.aircraft
        parameters = aircraft.optional(HydraulicsParameters)
        if parameters is None:
            return None
        return cls(parameters, aircraft.engines, fed=aircraft.authority.hydraulics == "feed")

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A supply of an engine that the aircraft has not."""
        parameters = aircraft.optional(HydraulicsParameters)
        for place, supply in enumerate(parameters.supplies if parameters is not None else ()):
            if supply.engine > aircraft.engines:
                what = f"there is no engine {supply.engine}: the aircraft has {aircraft.engines}"
                where = ("hydraulics", "supplies", place, "engine")
                yield Misfit(where, what, "Write the number of an engine, from 1 on")

    def update(self, now_s: float, world: World) -> HydraulicsFacts:
        """Follow marks and due times up to now, then supplies, consumers and faults."""
        memory = self._caught_up(now_s, self.memory)
        memory = self._settled(now_s, memory, self._taken(now_s, memory, world))
        # The next mark may be so near that, rounded, it is reached at this very instant.
        self.memory = memory = self._caught_up(now_s, memory)
        self.due_s = memory.due_s
        return facts_of(memory, self._parameters, fed=self._fed, fluid_test=world[FLUID_TEST])

    def _caught_up(self, now_s: float, memory: HydraulicsMemory) -> HydraulicsMemory:
        """Everything that came due by now, in the order of time."""
        while (due_s := memory.due_s) <= now_s:
            memory = self._settled(due_s, memory, self._reached(due_s, memory))
        return memory

    def _reached(self, now_s: float, memory: HydraulicsMemory) -> HydraulicsMemory:
        """What came due: a mark of the fluid, else what supplies wait for."""
        if memory.fluid.mark_s <= now_s:
            return self._compared(now_s, memory)
        engines = tuple([supply.reached(now_s) for supply in memory.engines])
        return replace(memory, engines=engines, aux=memory.aux.reached(now_s))

    def _compared(self, now_s: float, memory: HydraulicsMemory) -> HydraulicsMemory:
        """The volumes held against their limits; these change at marks and by jumps only."""
        fluid = self._plumbing.reached(memory.fluid, now_s)
        sides = self._limits.of_reservoir(memory.sides, fluid.reservoir.at(now_s))
        if not self._fed:
            sides = self._limits.of_fluid(sides, fluid.accumulator.at(now_s))
        return replace(memory, fluid=fluid, sides=sides)

    def _taken(self, now_s: float, memory: HydraulicsMemory, world: World) -> HydraulicsMemory:
        """What is read now."""
        leaks, fluid = world[self._leak] is not None, memory.fluid
        if memory.leaks and not leaks:  # a leak that is mended is topped up too
            fluid = self._plumbing.refilled(fluid, now_s)
        engines = tuple(
            [
                supply.take(now_s, world[cell], each.delay_s, is_failed=world[fault] is not None)
                for supply, (each, cell, fault) in zip(memory.engines, self._supplies, strict=True)
            ]
        )
        is_found = memory.is_found or any(world[cell] is not None for cell in self._engines)
        # An engine that is found running when engines are first known has run before: no pilot sees
        # the pressure build up only because the program was started.
        if is_found and not memory.is_found and not self._fed and any(e.gives for e in engines):
            fluid = self._plumbing.filled(fluid, now_s)
        brakes = world[BrakeSupplyFacts]
        moved = (brakes.drawn_l, brakes.returned_l) != (memory.drawn_l, memory.returned_l)
        if moved and not self._fed:
            drawn_l = brakes.drawn_l - memory.drawn_l
            returned_l = brakes.returned_l - memory.returned_l
            fluid = self._plumbing.braked(fluid, now_s, drawn_l, returned_l)
        aux = memory.aux
        if self._parameters.aux_pump is not None:
            powered = world[AUX_PUMP] is True and world[BUS_POWERED] is not False
            aux = replace(aux, is_powered=powered, fault=world[self._aux_fault])
        taken = replace(
            memory,
            fluid=fluid,
            engines=engines,
            aux=aux,
            is_found=is_found,
            leaks=leaks,
            gear_l_per_s=world[GearFacts].flow_l_per_s,
            store_l_per_s=brakes.fill_l_per_s,
            drawn_l=brakes.drawn_l,
            returned_l=brakes.returned_l,
        )
        if fluid is not memory.fluid:
            taken = self._compared(now_s, taken)
        if self._fed:
            taken = replace(taken, sides=self._limits.of_feed(taken.sides, world))
        return taken

    def _settled(
        self, now_s: float, before: HydraulicsMemory, memory: HydraulicsMemory
    ) -> HydraulicsMemory:
        """Pump, consumers and flows follow from all the rest; what has changed is noted."""
        parameters, sides, engines = self._parameters, memory.sides, memory.engines
        on_limit_s = parameters.aux_pump.on_limit_s if parameters.aux_pump else None
        aux = memory.aux.following(now_s, sides.wants_pressure, on_limit_s)
        served: tuple[str, ...] = ()
        if sides.usable:
            served = served_by(parameters, engines, aux, is_empty=memory.fluid.is_empty)
        fluid = self._plumbing.flowing(memory.fluid, now_s, self._flows(memory, aux, served))
        if not self._fed and fluid.accumulator.last_l == 0.0:
            # The first drop brings the precharge, and the gauge shows it at once.
            drop_l = nextafter(0.0, fluid.accumulator.line.rate)
            sides = self._limits.of_fluid(sides, drop_l)
        trigger = "rise" if sides.normal else "fall"
        after = replace(
            memory,
            fluid=fluid,
            sides=sides,
            aux=aux,
            served=served,
            failed=failed_of(parameters, engines, aux),
            pressure_id=HydraulicPressureChart.after(memory.pressure_id, trigger),
        )
        for name, subject in events_between(before, after):
            self.note(now_s, name, subject)
        return after

    def _flows(self, memory: HydraulicsMemory, aux: AuxPump, served: tuple[str, ...]) -> Flows:
        parameters = self._parameters
        leak = parameters.leak_l_per_s if memory.leaks else 0.0
        if self._fed:
            # Our fluid does not make the pressure; a leak loses what a supply makes up for.
            lost = leak if memory.sides.pressed else 0.0
            return Flows(constant=lost, lost=lost)
        compensated, constant = given_by(parameters, memory.engines, aux)
        drawn = memory.gear_l_per_s if "gear" in served else 0.0
        stored = memory.store_l_per_s if served else 0.0
        returned = drawn + parameters.internal_leak_l_per_s
        return Flows(compensated, constant, returned, leak, stored)

    def words(self, world: World) -> Words:
        """The conditions of the lamps in words."""
        return words_of(self._parameters, world)

    def failures(self) -> tuple[str, ...]:
        """Supplies without pressure, a pump that runs on, and a reservoir that ran dry."""
        return failures_of(self.facts)
