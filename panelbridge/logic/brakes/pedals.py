"""The brake pedals of panel and simulator, in steps: what the brakes have to look at."""

from __future__ import annotations

from math import ceil, floor
from typing import Self

from panelbridge.logic.brakes.facts import BRAKE_STEPS, LEFT_BRAKE, RIGHT_BRAKE
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.aircraft_cells import brake_pedal
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World


class BrakePedalsFacts(Facts, frozen=True):
    """The pedals.

    Attributes:
        steps: what the left and right pedals ask for, 0 to ``BRAKE_STEPS``.
    """

    steps: tuple[int, int] = (0, 0)


class BrakePedals(System[BrakePedalsFacts]):
    """Each side's pedal: that of the panel or the simulator's, whichever is pressed further.

    Args:
        parameters: the numbers of the brakes.
    """

    title = "Brakes"
    switches = (LEFT_BRAKE, RIGHT_BRAKE)

    def __init__(self, parameters: BrakesParameters) -> None:
        super().__init__()
        self._parameters = parameters
        self.facts = BrakePedalsFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None when the panel has nothing to do with brakes."""
        parameters = build.aircraft.optional(BrakesParameters)
        return None if parameters is None else cls(parameters)

    def update(self, now_s: float, world: World) -> BrakePedalsFacts:
        """Follow the pedals."""
        before, parameters = self.facts.steps, self._parameters
        left = greater_known(world[LEFT_BRAKE], world[brake_pedal(0)])
        right = greater_known(world[RIGHT_BRAKE], world[brake_pedal(1)])
        steps = (
            follow_travel(left, before[0], parameters),
            follow_travel(right, before[1], parameters),
        )
        return self.facts if steps == before else BrakePedalsFacts(steps)


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
