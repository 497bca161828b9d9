"""What presses on the brakes: the pedals, each its side, or the emergency brake, both by air.

All of it goes in steps, with a play of one step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor

from panelbridge.logic.brakes.facts import BRAKE_STEPS
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import follow_travel
from panelbridge.logic.kit.edges import RisingEdge


@dataclass(frozen=True, slots=True)
class Pressing:
    """What pedals and emergency lever press; every number in steps.

    Attributes:
        pressed: what the left and right pedals press.
        lever: the emergency lever.
        pulled: the emergency lever as a switch.
        air: what the emergency brake presses on both sides.
        air_steps: what it has risen by since the beginning.
    """

    pressed: tuple[int, int] = (0, 0)
    lever: int = 0
    pulled: RisingEdge = RisingEdge()
    air: int = 0
    air_steps: int = 0

    @property
    def sides(self) -> tuple[int, int]:
        """What presses on the left and right: air takes the place of the pedals."""
        return (self.air, self.air) if self.air else self.pressed


def press_pedals(
    pressing: Pressing, steps: tuple[int, int], stored: float | None
) -> tuple[Pressing, float]:
    """Follow the pedals; without pressure from a pump a rise takes stored energy.

    A full application is the full rise of both sides. What is there for less than all is shared
    evenly. What presses already stays, for it is shut in until the pedal releases it.

    Args:
        pressing: as it was.
        steps: what the left and right pedals ask for.
        stored: full applications in the accumulator; None while a pump gives pressure.

    Returns:
        It now, and the full applications that were taken.
    """
    left, right = steps
    now_left, now_right = pressing.pressed
    more_left, more_right = max(left - now_left, 0), max(right - now_right, 0)
    taken = 0
    if stored is not None:
        there = floor(stored * 2 * BRAKE_STEPS + 1e-9)
        more_left = min(more_left, max(there // 2, there - more_right))
        more_right = min(more_right, there - more_left)
        taken = more_left + more_right
    pressed = (min(now_left + more_left, left), min(now_right + more_right, right))
    if pressed != pressing.pressed:
        pressing = replace(pressing, pressed=pressed)
    return pressing, taken / (2 * BRAKE_STEPS)


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
