"""What the systems of anti-skid are made from."""

from __future__ import annotations

from typing import Any, NamedTuple

from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters


class AntiskidFitting(NamedTuple):
    """Anti-skid of an aircraft.

    Attributes:
        parameters: its numbers.
        names: of the braked wheels.
        sides: of each wheel: left (0) or right (1).
        struts: places of the legs whose struts say that the left and right are on the ground.
        fed_working: the feed is the authority for the wheels on which it works.
    """

    parameters: AntiskidParameters
    names: tuple[str, ...]
    sides: tuple[int, ...]
    struts: tuple[int, int]
    fed_working: bool = False


def fitting_of(aircraft: Any) -> AntiskidFitting | None:
    """That of an aircraft file; None for an aircraft without."""
    parameters, brakes = aircraft.optional(AntiskidParameters), aircraft.optional(BrakesParameters)
    if parameters is None or brakes is None:
        return None
    legs = aircraft.strut_names
    return AntiskidFitting(
        parameters,
        tuple([wheel.name for wheel in brakes.wheels]),
        tuple([SIDES.index(wheel.side) for wheel in brakes.wheels]),
        (legs.index(parameters.left_leg), legs.index(parameters.right_leg)),
        aircraft.authority.antiskid == "feed",
    )
