"""What presses on the brakes: the pedals, each its side, or the emergency brake, both by air.

All of it goes in steps, with a play of one step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, floor

from panelbridge.logic.brakes.facts import BRAKE_STEPS
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.edges import RisingEdge


@dataclass(frozen=True, slots=True)
class Pressing:
    """Pedals and emergency lever; every number in steps.

    Attributes:
        pedals: what the left and right pedals ask for.
        pressed: what they press.
        lever: the emergency lever.
        pulled: the emergency lever as a switch.
        air: what the emergency brake presses on both sides.
        air_steps: what it has risen by since the beginning.
    """

    pedals: tuple[int, int] = (0, 0)
    pressed: tuple[int, int] = (0, 0)
    lever: int = 0
    pulled: RisingEdge = RisingEdge()
    air: int = 0
    air_steps: int = 0

    @property
    def sides(self) -> tuple[int, int]:
        """What presses on the left and right: air takes the place of the pedals."""
        return (self.air, self.air) if self.air else self.pressed


def follow_travel(fraction: float | None, before: int, parameters: BrakesParameters) -> int:
    """The step of a travel, 0 to ``BRAKE_STEPS``: noise of less than a step moves nothing.

    It depends on where the travel has turned round, never on how often it is read.

    Args:
        fraction: the travel, 0 to 1; unknown is released.
        before: the step before.
        parameters: with the travel that does nothing, and that from which on the brake is full.
    """
    free = parameters.pedal_free_fraction
    span = parameters.pedal_full_fraction - free
    wanted = min(max(((fraction or 0.0) - free) / span, 0.0), 1.0) * BRAKE_STEPS
    if wanted >= before + 1:
        return floor(wanted)
    return ceil(wanted) if wanted <= before - 1 else before


def greater_known(one: float | None, other: float | None) -> float | None:
    """The greater of two numbers, as far as they are known."""
    return max([number for number in (one, other) if number is not None], default=None)


def press_pedals(
    pressing: Pressing,
    fractions: tuple[float | None, float | None],
    parameters: BrakesParameters,
    stored: float | None,
) -> tuple[Pressing, float]:
    """Follow the pedals; without pressure from a pump a rise takes stored energy.

    A full application is the full rise of both sides. What is there for less than all is shared
    evenly. What presses already stays, for it is shut in until the pedal releases it.

    Args:
        pressing: as it was.
        fractions: the left and right pedal, 0 to 1; None when unknown.
        parameters: the numbers of the brakes.
        stored: full applications in the accumulator; None while a pump gives pressure.

    Returns:
        It now, and the full applications that were taken.
    """
    left, right = (
        follow_travel(fraction, was, parameters)
        for fraction, was in zip(fractions, pressing.pedals, strict=True)
    )
    now_left, now_right = pressing.pressed
    more_left, more_right = max(left - now_left, 0), max(right - now_right, 0)
    taken = 0
    if stored is not None:
        there = floor(stored * 2 * BRAKE_STEPS + 1e-9)
        more_left = min(more_left, max(there // 2, there - more_right))
        more_right = min(more_right, there - more_left)
        taken = more_left + more_right
    pressed = (min(now_left + more_left, left), min(now_right + more_right, right))
    return replace(pressing, pedals=(left, right), pressed=pressed), taken / (2 * BRAKE_STEPS)


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
    return replace(pressing, lever=lever, pulled=pulled, air=air, air_steps=used)
