"""A pedal or lever in steps, without flutter."""

from __future__ import annotations

from math import ceil, floor, isnan

from panelbridge.logic.parking_brake import BRAKE_STEPS


class StepsOfTravel:
    """Steps that follow a travel with a play of one step: noise of less than that moves nothing.

    The steps depend on where the travel has turned round, never on how often it is read.

    Args:
        free_fraction: travel that does nothing, 0 to 1.
        full_fraction: travel from which on the brake is full, more than ``free_fraction``.
    """

    def __init__(self, free_fraction: float, full_fraction: float) -> None:
        self._free = free_fraction
        self._span = full_fraction - free_fraction
        self.steps = 0
        """0 to ``BRAKE_STEPS``."""

    def take(self, fraction: float | None) -> bool:
        """Take the travel, 0 to 1; True when the steps have changed. Unknown is released."""
        if fraction is None or isnan(fraction):
            fraction = 0.0
        wanted = min(max((fraction - self._free) / self._span, 0.0), 1.0) * BRAKE_STEPS
        before = self.steps
        if wanted >= before + 1:
            self.steps = floor(wanted)
        elif wanted <= before - 1:
            self.steps = ceil(wanted)
        return self.steps != before


def greater_known(one: float | None, other: float | None) -> float | None:
    """The greater of two numbers, as far as they are known."""
    if one is not None and isnan(one):
        one = None
    if other is None or isnan(other):
        return one
    return other if one is None or other > one else one
