"""The pressure line of the hydraulics, as the brakes see it."""

from __future__ import annotations

from math import inf

from msgspec import Struct

from panelbridge.logic.brakes.pressures import STEP_PSI, StepBelow, seen_psi
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.world import World


class PressureLine(Struct, frozen=True):
    """The pressure line at one instant.

    Attributes:
        pedals_psi: what it gives the pedals, psi.
        parking_psi: what it gives the parking brake, psi.
        fluid_l: what can be drawn from it at once, litres.
        until_s: how long that is good, s.
        is_known: its pressure is known.
    """

    pedals_psi: float
    parking_psi: float
    fluid_l: float
    until_s: float
    is_known: bool


def pressure_line(now_s: float, world: World, fed: StepBelow | None) -> PressureLine:
    """The pressure line now; ``fed`` is the feed's pressure where that counts."""
    hydraulics = world[HydraulicsFacts]
    serves = hydraulics.serves("wheel_brakes"), hydraulics.serves("parking_brake")
    psi, until_s, fluid_l = 0.0, inf, inf
    is_known = hydraulics.is_found
    if fed is not None:
        step = world[fed]
        psi, is_known = (step or 0) * STEP_PSI, step is not None
    elif any(serves) and hydraulics.pressure is not None:
        curve = hydraulics.pressure
        psi, until_s = seen_psi(curve, curve.fluid_l.rate, now_s)
        fluid_l = hydraulics.accumulator_l.at(now_s)
    pedals_psi, parking_psi = [psi if has else 0.0 for has in serves]
    return PressureLine(pedals_psi, parking_psi, fluid_l, until_s, is_known)


def source_of(line_psi: float, own_psi: float, world: World) -> str:
    """What the pedals draw on: supply, accumulator or none."""
    if max(line_psi, own_psi) <= 0.0:
        return "none"
    is_supply = line_psi >= own_psi and world[HydraulicsFacts].is_pumped
    return "supply" if is_supply else "accumulator"
