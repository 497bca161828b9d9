"""What is shown of the brakes' source of pressure: its caution, its values, its gauge."""

from __future__ import annotations

from panelbridge.logic.brakes.facts import BrakeSupplyFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.curves import Boyle
from panelbridge.logic.kit.declarations import Gauge, Lamp, Signal
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

_ENERGY = Rule(
    "stored brake energy low", (("energy_low", True),), "lights the caution, 14 CFR 25.735(h)"
)
ENERGY_LAMP = Lamp(
    "brake_energy_low_amber", "stored brake energy low", (_ENERGY,), legend="BRAKE ENERGY"
)


def supply_values(most: int, most_psi: float) -> tuple[Signal, ...]:
    """The values of an accumulator.

    Args:
        most: greatest number of full applications.
        most_psi: greatest pressure, psi.
    """
    return (
        Signal(
            *("brake_accumulator_psi", "number", "brake accumulator", _psi, "psi"),
            low=0.0,
            high=most_psi,
            curve=_curve,
        ),
        Signal(
            *("brake_applications_left", "number", "brake applications left", _left),
            low=0.0,
            high=float(most),
        ),
        Signal(
            *("brake_source", "word", "brake pressure from"),
            lambda world: world[BrakeSupplyFacts].source,
            words=("none", "supply", "accumulator"),
            never_unknown=True,
        ),
    )


def supply_gauges() -> tuple[Gauge, ...]:
    """The gauge of the accumulator."""
    return (Gauge("brake_accumulator", "brake accumulator", "psi", 10.0, _psi, _curve),)


def supply_words(facts: BrakeSupplyFacts, low: float) -> Words:
    """The caution in words; it is lit at ``low`` applications."""
    count = "unknown" if facts.left is None else f"{facts.left} left"
    detail = f"brake applications: {count}, low at {low:g}"
    return {"energy_low": (Reason("stored brake energy low", facts.energy_low, detail),)}


def _store(world: World) -> Boyle | None:
    own = world[BrakeSupplyFacts].store
    return world[HydraulicsFacts].pressure if own is None else own


def _psi(world: World) -> float | None:
    store = _store(world)
    return world[HYDRAULIC_PRESSURE_PSI] if store is None else store.at(world.now_s)


def _curve(world: World) -> Boyle | None:
    store = _store(world)
    return store if store is not None and store.fluid_l.rate else None


def _left(world: World) -> float | None:
    left = world[BrakeSupplyFacts].left
    return None if left is None else float(left)
