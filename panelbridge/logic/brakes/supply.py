"""Where the brakes' pressure comes from: the pressure line, or an accumulator when that is higher.

The accumulator is the brakes' own, behind a check valve that no loss of supply empties (TM
55-1520-240-23-6 p. 7-621), or that of the hydraulics. What a brake presses with is fluid: it is
drawn when the brake rises, and goes back to the reservoir when it is let go, by the pedal or by
anti-skid, whose work empties the accumulator (US Navy 1278BK1). No fluid is made or lost here.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Any, Self

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.brakes.facts import BRAKE_STEPS, BrakeSupplyFacts, WheelBrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pressure_line import PressureLine, pressure_line, source_of
from panelbridge.logic.brakes.pressures import STEP_PSI, StepBelow
from panelbridge.logic.brakes.store import Store, store_of, unfilled
from panelbridge.logic.brakes.supply_shown import (
    ENERGY_LAMP,
    supply_gauges,
    supply_values,
    supply_words,
)
from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.fluid import Volume
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Misfit
from panelbridge.logic.kit.handles import Fault
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level

ACCUMULATOR_FAULT = Fault("brake_accumulator", ("empty",))
_LEAST_L = 1e-9


class _BrakeSupplyMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        own: fluid in the brakes' own accumulator.
        wanted: what the brake of each wheel asked for, in steps.
        in_brakes_l: what they have got, litres.
        drawn_l: taken from the pressure line since the beginning, litres.
        returned_l: given to the reservoir, litres.
        is_found: the pressure line was known once.
        is_broken: the accumulator holds nothing.
    """

    own: Volume
    wanted: tuple[int, ...] = ()
    in_brakes_l: float = 0.0
    drawn_l: float = 0.0
    returned_l: float = 0.0
    is_found: bool = False
    is_broken: bool = False


class BrakeSupply(System[BrakeSupplyFacts]):
    """The brakes' source of pressure.

    Args:
        parameters: the numbers of the brakes.
        store: the accumulator that they draw on; None without any.
        fed: the feed is the authority for the pressure of the line.
        most_psi: the greatest pressure of the line, psi.
    """

    title = "Brakes"
    events = {"brake_energy_low": (Level.CAUTION, "the stored energy of the brakes is low")}
    memory: _BrakeSupplyMemory

    def __init__(
        self, parameters: BrakesParameters, store: Store | None, *, fed: bool, most_psi: float
    ) -> None:
        super().__init__()
        self._parameters, self._store = parameters, store
        self._own = store if parameters.accumulator else None
        self._unit_l = parameters.application_l / BRAKE_STEPS / len(parameters.wheels)
        self._step = StepBelow(HYDRAULIC_PRESSURE_PSI) if fed else None
        self.readings = (self._step,) if self._step else ()
        self.faults = (ACCUMULATOR_FAULT,) if self._own else ()
        self._marks: list[float] = []
        most_l = 0.0
        if store is None:
            self.never_notes("brake_energy_low")
        else:
            most_l = store.gas.volume_l(most_psi)
            self._marks = store.marks(most_l)
            self.lamps = (ENERGY_LAMP,)
            self.values = supply_values(store.left(most_l), most_psi)
            self.gauges = supply_gauges()
        self.memory = _BrakeSupplyMemory(Volume(Line(low=0.0, high=most_l), 0.0))
        self.facts = BrakeSupplyFacts(store=self._own.gas if self._own else None)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for brakes that need no hydraulics."""
        aircraft = build.aircraft
        parameters = aircraft.optional(BrakesParameters)
        if parameters is None or not parameters.needs_hydraulics:
            return None
        fed = aircraft.authority.hydraulics == "feed"
        most_psi = aircraft.optional(HydraulicsParameters).relief_psi
        return cls(parameters, store_of(aircraft), fed=fed, most_psi=most_psi)

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Pressure that no supply gives, and fluid that the reservoir has not."""
        brakes = aircraft.optional(BrakesParameters)
        if brakes is not None and brakes.needs_hydraulics:
            yield from unserved(aircraft, ("brakes", "needs_hydraulics"), "wheel_brakes")
            yield from unfilled(aircraft)

    def update(self, now_s: float, world: World) -> BrakeSupplyFacts:
        """Fill the accumulator; give the brakes what they ask for, and take back what they drop."""
        line, wheels = pressure_line(now_s, world, self._step), world[WheelBrakesFacts]
        broken = self._own is not None and world[ACCUMULATOR_FAULT] is not None
        memory = self._found(now_s, self.memory, line, broken=broken)
        memory = self._let_go(memory, wheels.wanted)
        line_psi = line.pedals_psi
        if wheels.parking_wants:
            line_psi = max(line_psi, line.parking_psi)
        memory, is_filled = self._drawn(now_s, memory, line_psi, line.fluid_l)
        own, fill_l_per_s = self._filling(now_s, memory.own, line, broken=broken)
        self.memory = memory = replace(memory, own=own)
        left, changes_s = self._left(now_s, memory, world)
        self.due_s = min(line.until_s, own.mark_s, changes_s)
        own_psi = self._own_psi(own.at(now_s))
        full_psi = self._parameters.full_psi
        low = left is None or left <= self._parameters.low_applications
        if low and not self.facts.energy_low and self._store is not None:
            self.note(now_s, "brake_energy_low")
        gas = self._own.gas if self._own else None
        return BrakeSupplyFacts(
            pedals_psi=min(max(line.pedals_psi, own_psi), full_psi),
            parking_psi=min(max(line.parking_psi, own_psi), full_psi),
            parking_line_psi=min(line.parking_psi, full_psi),
            source=source_of(line.pedals_psi, own_psi, world),
            store=replace(gas, fluid_l=own.line) if gas else None,
            left=left,
            energy_low=low,
            parking_filled=wheels.parking_wants and is_filled,
            fill_l_per_s=fill_l_per_s,
            drawn_l=memory.drawn_l,
            returned_l=memory.returned_l,
        )

    def _found(
        self, now_s: float, memory: _BrakeSupplyMemory, line: PressureLine, *, broken: bool
    ) -> _BrakeSupplyMemory:
        """What the accumulator holds at first and when it is mended: as much as the line then."""
        own_l = memory.own.at(now_s)
        line_psi = max(line.pedals_psi, line.parking_psi)
        held_l = own_l
        begins = memory.is_broken or (line.is_known and not memory.is_found)
        if broken:
            held_l = 0.0
        elif self._own is not None and begins and line_psi > 0.0:
            held_l = self._own.gas.volume_l(line_psi)
        is_found = memory.is_found or line.is_known
        same = is_found is memory.is_found and broken is memory.is_broken
        if held_l == own_l and same:
            return memory
        own = memory.own if held_l == own_l else memory.own.put(now_s, held_l)
        returned_l = memory.returned_l + own_l - held_l
        return replace(memory, own=own, returned_l=returned_l, is_found=is_found, is_broken=broken)

    def _let_go(self, memory: _BrakeSupplyMemory, wanted: tuple[int, ...]) -> _BrakeSupplyMemory:
        """Fluid of the brakes that fall goes back to the reservoir."""
        before = memory.wanted or (0,) * len(wanted)
        if wanted == before:
            return memory
        dropped = sum([max(was - now, 0) for was, now in zip(before, wanted, strict=True)])
        in_l = memory.in_brakes_l
        left_l = in_l - in_l * dropped / sum(before) if dropped else in_l
        if not any(wanted):
            left_l = 0.0
        returned_l = memory.returned_l + in_l - left_l
        return replace(memory, wanted=wanted, in_brakes_l=left_l, returned_l=returned_l)

    def _drawn(
        self, now_s: float, memory: _BrakeSupplyMemory, line_psi: float, line_l: float
    ) -> tuple[_BrakeSupplyMemory, bool]:
        """The brakes with what they lack, from the higher pressure first; and whether it was there.

        A source without pressure gives nothing.
        """
        missing_l = sum(memory.wanted) * self._unit_l - memory.in_brakes_l
        if missing_l <= _LEAST_L:
            return memory, True
        own_l = memory.own.at(now_s)
        own_psi = self._own_psi(own_l)
        line_l = line_l if line_psi > 0.0 else 0.0
        if line_psi >= own_psi:
            of_line_l = min(missing_l, line_l)
            of_own_l = min(missing_l - of_line_l, own_l)
        else:
            of_own_l = min(missing_l, own_l)
            of_line_l = min(missing_l - of_own_l, line_l)
        if not of_line_l and not of_own_l:
            return memory, False
        memory = replace(
            memory,
            own=memory.own.put(now_s, own_l - of_own_l) if of_own_l else memory.own,
            in_brakes_l=memory.in_brakes_l + of_line_l + of_own_l,
            drawn_l=memory.drawn_l + of_line_l,
        )
        return memory, missing_l - of_line_l - of_own_l <= _LEAST_L

    def _filling(
        self, now_s: float, own: Volume, line: PressureLine, *, broken: bool
    ) -> tuple[Volume, float]:
        """The accumulator from now on, and what flows into it from the line, litres a second."""
        parameters, rate, marks = self._parameters.accumulator, 0.0, self._marks
        if parameters is None or self._own is None:
            return own, 0.0
        full_l = self._own.gas.volume_l(max(line.pedals_psi, line.parking_psi))
        if not broken and full_l - own.at(now_s) > _LEAST_L:
            rate = parameters.fill_l_per_s
            marks = sorted([*marks, full_l])
        here_l = own.at(now_s)
        if rate and own.mark_l != min([mark for mark in marks if mark > here_l]):
            own = own.put(now_s, here_l)  # the line has more than before, or less
        return own.going(now_s, rate, marks), rate

    def _left(
        self, now_s: float, memory: _BrakeSupplyMemory, world: World
    ) -> tuple[int | None, float]:
        """Full applications that are stored, and when that changes."""
        if self._store is None:
            return 0, inf
        if self._own is not None:
            return self._own.left(memory.own.at(now_s)), inf
        if self._step is not None:
            step = world[self._step]
            fluid_l = None if step is None else self._store.gas.volume_l(step * STEP_PSI)
            return None if fluid_l is None else self._store.left(fluid_l), inf
        line = world[HydraulicsFacts].accumulator_l
        return self._store.left(line.at(now_s)), self._store.changes_s(line, now_s)

    def _own_psi(self, fluid_l: float) -> float:
        return self._own.gas.of(fluid_l) if self._own is not None else 0.0

    def words(self, world: World) -> Words:
        """The caution in words."""
        return supply_words(world[BrakeSupplyFacts], self._parameters.low_applications)
