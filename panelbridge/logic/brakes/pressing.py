"""The emergency brake: it presses both sides by air, in steps with a play of one step."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import follow_travel
from panelbridge.logic.kit.edges import RisingEdge


class Pressing(Struct, frozen=True):
    """What the emergency lever presses; every number in steps.

    Attributes:
        lever: the emergency lever.
        pulled: the emergency lever as a switch.
        air: what the emergency brake presses on both sides.
        air_steps: what it has risen by since the beginning.
    """

    lever: int = 0
    pulled: RisingEdge = RisingEdge()
    air: int = 0
    air_steps: int = 0


def press_by_air(
    pressing: Pressing,
    fraction: float | None,
    parameters: BrakesParameters,
    has_air: Callable[[], bool],
) -> Pressing:
    """Follow the emergency lever; one that is already pulled at start-up does nothing.

    Args:
        pressing: as it was.
        fraction: the lever, 0 (released) to 1 (fully pulled); None when unknown.
        parameters: the numbers of the brakes.
        has_air: asked when the brake has to rise: the bottle can work it.
    """
    lever = follow_travel(fraction, pressing.lever, parameters)
    pulled = pressing.pulled.take(None if fraction is None else lever > 0)
    air, used = lever if pulled.holds else 0, pressing.air_steps
    if air > pressing.air:
        if has_air():
            used += air - pressing.air
        else:
            air = pressing.air
    if (lever, pulled, air, used) == (
        pressing.lever,
        pressing.pulled,
        pressing.air,
        pressing.air_steps,
    ):
        return pressing
    return replace(pressing, lever=lever, pulled=pulled, air=air, air_steps=used)
