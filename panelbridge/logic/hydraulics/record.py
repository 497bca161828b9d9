"""What the hydraulic system remembers, and the events that follow from how it changes.

Whether pressure is low is a recorded parameter of flight recorders (14 CFR 135.152).
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from statemachine import State

from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.fluid import Fluid
from panelbridge.logic.hydraulics.limits import LimitSides
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.hydraulics.supplies import AuxPump, EngineSupply
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.declarations import EventTexts
from panelbridge.signals import Level

EVENTS: EventTexts = {
    "hydraulic_pressure_fell": (Level.CAUTION, "hydraulic pressure is low"),
    "hydraulic_pressure_rose": (Level.INFO, "hydraulic pressure is normal"),
    "hydraulic_fluid_fell_low": (Level.CAUTION, "hydraulic fluid is low"),
    "hydraulic_fluid_filled": (Level.INFO, "hydraulic fluid is no longer low"),
    "hydraulic_reservoir_emptied": (Level.FAULT, "the hydraulic reservoir ran dry"),
    "hydraulic_supply_failed": (Level.FAULT, "the {subject} gives no pressure"),
    "aux_pump_started": (Level.INFO, "the auxiliary hydraulic pump started"),
    "aux_pump_stopped": (Level.INFO, "the auxiliary hydraulic pump stopped"),
    "aux_pump_ran_on": (
        Level.FAULT,
        "the auxiliary hydraulic pump did not stop: the relief valve limits the pressure",
    ),
    "aux_pump_left_on": (
        Level.CAUTION,
        "the auxiliary hydraulic pump was left on beyond its limit: the pump cycles and wears",
    ),
}


class HydraulicPressureChart(Chart):
    """Whether the pressure is low."""

    hydraulic_pressure_low = State(initial=True)
    hydraulic_pressure_normal = State()

    rise = hydraulic_pressure_low.to(hydraulic_pressure_normal)
    fall = hydraulic_pressure_normal.to(hydraulic_pressure_low)


class HydraulicsMemory(Struct, frozen=True):
    """All that the system remembers.

    Attributes:
        fluid: where the fluid is.
        sides: of its limits.
        engines: the supplies of the engines, in the order of the aircraft file.
        aux: the auxiliary pump; it stays off where there is none.
        pressure_id: id of the pressure chart's state.
        is_found: an engine was known once.
        leaks: the system leaks.
        gear_l_per_s: what the moving gear takes while it has pressure, litres a second.
        store_l_per_s: what fills the brake accumulator, litres a second.
        drawn_l: what the brakes have taken from the pressure line since the beginning, litres.
        returned_l: what they have given to the reservoir, litres.
        served: the consumers that have pressure.
        failed: supplies that should give pressure and do not, in words.
    """

    fluid: Fluid
    sides: LimitSides
    engines: tuple[EngineSupply, ...]
    aux: AuxPump = AuxPump()
    pressure_id: str = "hydraulic_pressure_low"
    is_found: bool = False
    leaks: bool = False
    gear_l_per_s: float = 0.0
    store_l_per_s: float = 0.0
    drawn_l: float = 0.0
    returned_l: float = 0.0
    served: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()

    @property
    def due_s(self) -> float:
        """When the next mark is reached or a supply comes due, s."""
        return min([self.fluid.mark_s, self.aux.due_s, *[each.due_s for each in self.engines]])


def events_between(before: HydraulicsMemory, after: HydraulicsMemory) -> Iterator[tuple[str, str]]:
    """Name and subject of each event that has led from one to the other."""
    was, aux = before.aux, after.aux
    if aux.left_on and not was.left_on:
        yield "aux_pump_left_on", ""
    if aux.runs_on and not was.runs_on:
        yield "aux_pump_ran_on", ""
    if aux.is_running is not was.is_running:
        yield ("aux_pump_started" if aux.is_running else "aux_pump_stopped"), ""
    if after.pressure_id != before.pressure_id:
        rose = after.pressure_id == "hydraulic_pressure_normal"
        yield ("hydraulic_pressure_rose" if rose else "hydraulic_pressure_fell"), ""
    if after.sides.fluid_low is not before.sides.fluid_low:
        fell = after.sides.fluid_low
        yield ("hydraulic_fluid_fell_low" if fell else "hydraulic_fluid_filled"), ""
    if after.fluid.is_empty and not before.fluid.is_empty:
        yield "hydraulic_reservoir_emptied", ""
    for label in after.failed:
        if label not in before.failed:
            yield "hydraulic_supply_failed", label


def facts_of(
    memory: HydraulicsMemory,
    parameters: HydraulicsParameters,
    *,
    fed: bool,
    fluid_test: bool | None,
) -> HydraulicsFacts:
    """What others see of it; ``fed``: the feed reports the pressure."""
    fluid, sides, aux = memory.fluid, memory.sides, memory.aux
    in_l, steps = fluid.accumulator.line, sides.gauge_steps
    return HydraulicsFacts(
        served=memory.served,
        pressure=None if fed else parameters.gas(in_l),
        accumulator_l=in_l,
        reservoir_l=fluid.reservoir.line,
        lost_l=fluid.lost_l,
        held_l=fluid.held_l,
        is_found=memory.is_found,
        is_pumped=not fluid.is_empty and (aux.is_on or any(e.gives for e in memory.engines)),
        gauge_psi=None if steps is None else steps * parameters.gauge_step_psi,
        pressure_low=sides.normal is False,
        pressure_unknown=sides.normal is None,
        fluid_low=sides.fluid_low,
        fluid_test=fluid_test is True,
        aux_left_on=aux.left_on,
        aux=aux.state_id.removeprefix("aux_"),
        aux_cycles=aux.cycles,
        aux_runs_on=aux.runs_on,
        failed=memory.failed,
        is_empty=fluid.is_empty,
    )
