"""What the pedals press, each its side, with pressure or with what is stored."""

from __future__ import annotations

from math import floor

from panelbridge.logic.brake_energy import BrakeEnergy
from panelbridge.logic.brake_steps import StepsOfTravel
from panelbridge.logic.parking_brake import BRAKE_STEPS


class PedalBrakes:
    """The left and the right side.

    Args:
        free_fraction: travel of a pedal that does nothing.
        full_fraction: travel from which on the brake is full.
        energy: the accumulator.
    """

    def __init__(self, free_fraction: float, full_fraction: float, energy: BrakeEnergy) -> None:
        self.pedals = (
            StepsOfTravel(free_fraction, full_fraction),
            StepsOfTravel(free_fraction, full_fraction),
        )
        """What the pedals ask for, left and right."""
        self._energy = energy
        self.steps = [0, 0]
        """What presses on the left and right, 0 to ``BRAKE_STEPS``."""

    def update(self, now_s: float, *, has_pressure: bool) -> None:
        """Follow the pedals; without pressure a rise takes from the accumulator.

        A full application is the full rise of both sides. What is there for less than all is shared
        evenly. What presses already stays, for it is shut in until the pedal lets it go.
        """
        left, right = [
            max(pedal.steps - now, 0) for pedal, now in zip(self.pedals, self.steps, strict=True)
        ]
        if not has_pressure and left + right:
            there = floor(self._energy.left(now_s) * 2 * BRAKE_STEPS + 1e-9)
            left = min(left, max(there // 2, there - right))
            right = min(right, there - left)
            self._energy.use(now_s, (left + right) / (2 * BRAKE_STEPS))
        self.steps = [
            min(now + rise, pedal.steps)
            for now, rise, pedal in zip(self.steps, (left, right), self.pedals, strict=True)
        ]
