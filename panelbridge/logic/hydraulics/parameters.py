"""The numbers of a hydraulic system: supplies, accumulator, reservoir, limits.

A supply is an engine's, by bleed air or by a pump on the engine itself, or the electric auxiliary
pump. Each says which consumers it serves.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal, Self, get_args

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.curves import Boyle, Line
from panelbridge.logic.kit.parameters import Order, Parameters

Consumer = Literal["gear", "flaps", "wheel_brakes", "parking_brake", "spoilers", "thrust_reversers"]
"""What takes hydraulic pressure."""
CONSUMERS: tuple[Consumer, ...] = get_args(Consumer)
"""All of them, in the order in which they are listed."""
Psi = Annotated[float, Field(gt=0.0, le=10000.0)]
Consumers = Annotated[list[Consumer], Field(min_length=1, max_length=6)]
GasExponent = Annotated[float, Field(ge=1.0, le=1.7)]
BLEED_AIR_SPOOL_UP_S = 3.0
"""Spool-up time of an air-driven pump when the file gives none, s."""
_DRAINED = Line()


class EngineSupplyParameters(Parameters):
    """The supply of one engine."""

    engine: Annotated[int, Field(ge=1, le=8)]
    """Number of the engine that drives it, from 1."""
    kind: Literal["bleed_air", "engine_pump"] = "engine_pump"
    """A pump driven by the engine's bleed air, which spools up first, or one on the engine, which
    turns with it."""
    flow_l_per_s: Annotated[float, Field(gt=0.0, le=10.0)] = 0.4
    """Greatest flow, litres a second."""
    spool_up_s: Annotated[float, Field(ge=0.0, le=60.0)] | None = None
    """Bleed air only: from the engine running to flow, s; 3 s when not given."""
    serves: Consumers = Field(default=list(CONSUMERS))
    """The consumers that it serves."""

    @model_validator(mode="after")
    def _an_engine_pump_turns_at_once(self) -> Self:
        if self.kind == "engine_pump" and self.spool_up_s is not None:
            raise PydanticCustomError(
                "engine_pump_spools_up",
                "spool_up_s is for bleed_air: an engine_pump turns with its engine",
            )
        return self

    @property
    def delay_s(self) -> float:
        """From the engine running to flow, s."""
        if self.kind == "engine_pump":
            return 0.0
        return BLEED_AIR_SPOOL_UP_S if self.spool_up_s is None else self.spool_up_s

    @property
    def label(self) -> str:
        """In words."""
        what = "bleed-air supply" if self.kind == "bleed_air" else "pump"
        return f"hydraulic {what} of engine {self.engine}"


class AuxPumpParameters(Parameters):
    """The electric auxiliary pump; a pressure switch starts and stops it."""

    flow_l_per_s: Annotated[float, Field(gt=0.0, le=10.0)] = 0.1
    """Flow while it runs, litres a second."""
    cut_in_psi: Psi = 2300.0
    """At or below this pressure its pressure switch starts it, psi."""
    cut_out_psi: Psi = 2800.0
    """At or above this pressure its pressure switch stops it, psi."""
    on_limit_s: Annotated[float, Field(gt=0.0, le=36000.0)] | None = 600.0
    """How long it may be left switched on, s; then a caution, because it cycles and wears; null for
    no limit."""
    serves: Consumers = Field(default=list(CONSUMERS))
    """The consumers that it serves."""


class AccumulatorParameters(Parameters):
    """The gas accumulator on the pressure line."""

    gas_volume_l: Annotated[float, Field(gt=0.0, le=100.0)] = 1.0
    """Volume of its gas when no fluid is in it, litres."""
    precharge_psi: Psi = 1000.0
    """Pressure of its gas when no fluid is in it, psi."""
    precharge_least_psi: Psi = 900.0
    """Least precharge of its limits, psi."""
    # That it has limits: US Army TM 55-1510-222-10.
    precharge_most_psi: Psi = 1100.0
    """Greatest precharge of its limits, psi."""
    gas_exponent: GasExponent = 1.0
    """Exponent of its gas: 1 while it works slowly, 1.4 for fast applications of the brakes."""
    serves: Annotated[list[Consumer], Field(max_length=6)] = Field(
        default=["wheel_brakes", "parking_brake"]
    )
    """The consumers that it serves by itself while no supply works."""

    def orders(self) -> Iterator[Order]:
        """The precharge is within its limits.

        An error in the file, not a fault of the bench: the precharge can be read only with all
        fluid drained, so no panel in flight could show it.
        """
        yield from self.ordered("precharge_least_psi", "precharge_psi", or_equal=True)
        yield from self.ordered("precharge_psi", "precharge_most_psi", or_equal=True)


class HydraulicsParameters(Parameters):
    """The hydraulic system."""

    supplies: Annotated[list[EngineSupplyParameters], Field(max_length=8)] = Field(default=[])
    """Supplies driven by engines; any one suffices."""
    aux_pump: AuxPumpParameters | None = None
    """The auxiliary pump; null for none."""
    accumulator: AccumulatorParameters = AccumulatorParameters()
    """The accumulator."""
    nominal_psi: Psi = 3000.0
    """Pressure that the engines' supplies hold, psi."""
    relief_psi: Psi = 3500.0
    """The relief valve lets the pressure rise no further, psi (14 CFR 25.1435: a safe limit)."""
    low_psi: Psi = 1500.0
    """At or below this pressure the low-pressure lamp is lit, psi."""
    low_clear_psi: Psi = 1800.0
    """At or above this pressure it is dark again, psi."""
    usable_psi: Psi = 1100.0
    """At or below this pressure consumers are no longer served, psi."""
    usable_again_psi: Psi = 1300.0
    """At or above this pressure they are served again, psi."""
    internal_leak_l_per_s: Annotated[float, Field(ge=0.0, le=1.0)] = 0.001
    """What valves always let through from the pressure line to the reservoir, litres a second."""
    leak_l_per_s: Annotated[float, Field(gt=0.0, le=10.0)] = 0.02
    """What a leak (a fault of the bench) loses while there is pressure, litres a second."""
    reservoir_l: Annotated[float, Field(gt=0.0, le=1000.0)] = 8.0
    """Fluid in the reservoir when no pressure is in the system, litres."""
    fluid_low_l: Annotated[float, Field(gt=0.0, le=1000.0)] = 2.5
    """At or below this quantity in the reservoir the low-fluid lamp is lit, litres."""
    fluid_clear_l: Annotated[float, Field(gt=0.0, le=1000.0)] = 3.0
    """At or above this quantity it is dark again, litres."""
    gauge_step_psi: Annotated[float, Field(ge=1.0, le=1000.0)] = 50.0
    """The needle of the gauge moves in steps of this size, psi."""

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if not self.supplies and self.aux_pump is None:
            raise PydanticCustomError("no_supply", "give at least one of supplies or aux_pump")
        engines = [supply.engine for supply in self.supplies]
        for engine in engines:
            if engines.count(engine) > 1:
                raise PydanticCustomError(
                    "twin_supplies", "two supplies are of engine {engine}", {"engine": engine}
                )
        return self

    def orders(self) -> Iterator[Order]:
        """Limits below each other and below what the pumps hold; fluid that is left."""
        # Pressure with fluid is never below the precharge.
        for low, high in (
            ("accumulator.precharge_psi", "usable_psi"),
            ("accumulator.precharge_psi", "low_psi"),
        ):
            yield from self.ordered(low, high, or_equal=True)
        held = ["nominal_psi"] if self.supplies else []
        for low, high in (
            ("usable_psi", "usable_again_psi"),
            ("low_psi", "low_clear_psi"),
            ("aux_pump.cut_in_psi", "aux_pump.cut_out_psi"),
            ("aux_pump.cut_out_psi", "relief_psi"),
            ("nominal_psi", "relief_psi"),
            *[("low_clear_psi", pressure) for pressure in (*held, "aux_pump.cut_in_psi")],
            *[("usable_again_psi", pressure) for pressure in (*held, "aux_pump.cut_in_psi")],
            ("fluid_low_l", "fluid_clear_l"),
        ):
            yield from self.ordered(low, high)
        left_l = self.reservoir_l - self.gas().volume_l(self.relief_psi)
        what = "what a full accumulator leaves in the reservoir"
        yield Order(("fluid_clear_l",), self.fluid_clear_l, (), left_l, derived=what)

    def gas(self, fluid_l: Line = _DRAINED) -> Boyle:
        """The gas of the accumulator over so much fluid, litres."""
        return Boyle(
            fluid_l,
            self.accumulator.gas_volume_l,
            self.accumulator.precharge_psi,
            self.relief_psi,
            self.accumulator.gas_exponent,
            self.nominal_psi,
        )
