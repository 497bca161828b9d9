"""What the parking brake can be set with: the supply, its own lever, or what the pedals press."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.antiskid.facts import ANTISKID
from panelbridge.logic.brakes.facts import BrakeSupplyFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.world import World


class ParkingSource(Struct, frozen=True):
    """What the parking brake can be set with.

    Attributes:
        psi: pressure that it can be set with, psi.
        feed_psi: pressure that goes on pressing it while it is set, psi.
        is_filled: the fluid that it takes is there.
        bleed_psi_per_min: how fast it bleeds down, psi a minute.
    """

    psi: float
    feed_psi: float
    is_filled: bool
    bleed_psi_per_min: float


def parking_source(parameters: BrakesParameters, world: World, pressed_psi: float) -> ParkingSource:
    """What the parking brake can be set with now; ``pressed_psi`` is what both pedals press."""
    bleed = parameters.parking_bleed_psi_per_min
    if world[ANTISKID] is True and world[BUS_POWERED] is not False:
        bleed += parameters.antiskid_bleed_psi_per_min
    if parameters.parking_needs_pedals or not parameters.needs_hydraulics:
        psi = pressed_psi if parameters.parking_needs_pedals else parameters.full_psi
        return ParkingSource(psi, psi, is_filled=True, bleed_psi_per_min=bleed)
    supply = world[BrakeSupplyFacts]
    return ParkingSource(supply.parking_psi, supply.parking_line_psi, supply.parking_filled, bleed)
