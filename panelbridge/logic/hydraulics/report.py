"""What the hydraulic system shows: its lamps and why, its values, its faults."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.curves import Boyle, Curve, Line
from panelbridge.logic.kit.declarations import Lamp, Signal
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

_LOW = Rule("hydraulic pressure low", (("pressure_low", True),), "lights the caution")
_UNKNOWN = Rule(
    "hydraulic pressure unknown",
    (("pressure_unknown", True),),
    "lights the caution: unknown counts as low",
)
# Source: US Army TM 1-1510-262-10.
_FLUID_LOW = Rule("hydraulic fluid low", (("fluid_low", True),), "lights the caution")
_TEST = Rule("test of the low-fluid sensor", (("fluid_test", True),), "lights the caution")
_LEFT_ON = Rule(
    "auxiliary pump left on beyond its limit",
    (("aux_left_on", True),),
    "lights the caution: the pump cycles and wears",
)
_LAMPS = (
    Lamp(
        "hydraulic_pressure_low_amber",
        "hydraulic pressure low",
        (_LOW, _UNKNOWN),
        legend="HYD PRESS",
    ),
    Lamp(
        "hydraulic_fluid_low_amber", "hydraulic fluid low", (_FLUID_LOW, _TEST), legend="HYD FLUID"
    ),
)
_LEFT_ON_LAMP = Lamp(
    "aux_pump_left_on_amber", "auxiliary pump left on", (_LEFT_ON,), legend="AUX PUMP"
)


def pressure_psi(world: World, relief_psi: float) -> float | None:
    """The pressure at the instant of a world, psi, 0 to relief; None when unknown."""
    curve = world[HydraulicsFacts].pressure
    if curve is not None:
        return curve.at(world.now_s)
    fed_psi = world[HYDRAULIC_PRESSURE_PSI]  # no limit of ours binds the feed
    return None if fed_psi is None else min(max(fed_psi, 0.0), relief_psi)


def lamps_of(numbers: HydraulicsParameters) -> tuple[Lamp, ...]:
    """The lamps of a system with these numbers."""
    return (*_LAMPS, _LEFT_ON_LAMP) if numbers.aux_pump else _LAMPS


def signals_of(numbers: HydraulicsParameters) -> tuple[Signal, ...]:
    """The values of a system with these numbers."""
    total_l, relief_psi = numbers.reservoir_l, numbers.relief_psi
    psi = _number("hydraulic_pressure_psi", "hydraulic pressure", "psi", relief_psi, _pressure)
    signals = (
        replace(psi, read=lambda world: pressure_psi(world, relief_psi)),
        Signal("hydraulic_pressure_low", "yes_no", "hydraulic pressure low", _pressure_low),
        _number(
            "hydraulic_reservoir_l", "hydraulic reservoir", "l", total_l, lambda f: f.reservoir_l
        ),
        _number("hydraulic_accumulator_l", "fluid in accumulator", "l", total_l, _accumulator),
        _number("hydraulic_lost_l", "hydraulic fluid lost", "l", total_l, lambda f: f.lost_l),
    )
    return (*signals, _AUX_STATE, _AUX_CYCLES) if numbers.aux_pump else signals


_AUX_STATE = Signal(
    "aux_pump_state",
    "word",
    "auxiliary pump",
    lambda world: world[HydraulicsFacts].aux,
    words=("off", "pumping", "resting"),
)
_AUX_CYCLES = Signal(
    "aux_pump_cycles",
    "number",
    "auxiliary pump starts",
    lambda world: float(world[HydraulicsFacts].aux_cycles),
    low=0.0,
)


def _pressure(facts: HydraulicsFacts) -> Boyle | None:
    return facts.pressure


def _accumulator(facts: HydraulicsFacts) -> Line | None:
    # Our fluid does not make the feed's pressure: then there is no accumulator of ours.
    return None if facts.pressure is None else facts.accumulator_l


def _number(
    name: str,
    label: str,
    unit: str,
    high: float,
    curve_of: Callable[[HydraulicsFacts], Line | Boyle | None],
) -> Signal:
    """A value that is a function of time, from 0 on; its curve counts while it does not stand."""

    def read(world: World) -> float | None:
        curve = curve_of(world[HydraulicsFacts])
        return None if curve is None else curve.at(world.now_s)

    def moving(world: World) -> Curve | None:
        curve = curve_of(world[HydraulicsFacts])
        line = curve.fluid_l if isinstance(curve, Boyle) else curve
        return curve if line is not None and line.rate else None

    return Signal(name, "number", label, read, unit=unit, low=0.0, high=high, curve=moving)


def _pressure_low(world: World) -> bool:
    facts = world[HydraulicsFacts]
    return facts.pressure_low or facts.pressure_unknown


def words_of(numbers: HydraulicsParameters, world: World) -> Words:
    """The conditions of the lamps in words, with what they were decided on."""
    facts = world[HydraulicsFacts]
    psi = pressure_psi(world, numbers.relief_psi)
    shown = "unknown" if psi is None else f"{psi:.0f} psi"
    limit_s = numbers.aux_pump.on_limit_s if numbers.aux_pump else None
    return {
        "pressure_low": (
            Reason(
                "hydraulic pressure low",
                facts.pressure_low,
                f"{shown}; low at {numbers.low_psi:g} psi, normal again at"
                f" {numbers.low_clear_psi:g} psi",
            ),
        ),
        "pressure_unknown": (Reason("hydraulic pressure unknown", facts.pressure_unknown, shown),),
        "fluid_low": (
            Reason(
                "hydraulic fluid low",
                facts.fluid_low,
                f"{facts.reservoir_l.at(world.now_s):.2f} l; low at {numbers.fluid_low_l:g} l,"
                f" normal again at {numbers.fluid_clear_l:g} l",
            ),
        ),
        "fluid_test": (Reason("low-fluid test held", facts.fluid_test),),
        "aux_left_on": (
            Reason(
                "auxiliary pump left on",
                facts.aux_left_on,
                f"{facts.aux}; limit {limit_s:g} s" if limit_s else "no limit",
            ),
        ),
    }


def failures_of(facts: HydraulicsFacts) -> tuple[str, ...]:
    """What is broken, a sentence each."""
    found = [f"the {label} has failed" for label in facts.failed]
    if facts.aux_runs_on:
        found.append("the auxiliary hydraulic pump runs on above its cut-out pressure")
    if facts.is_empty:
        found.append("the hydraulic reservoir is empty")
    return tuple(found)
