"""What the steering pedals or tiller of a panel ask for."""

from __future__ import annotations

from math import copysign
from typing import Annotated

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class PedalShaping(Parameters):
    """From the travel of pedals or a tiller to what it asks for."""

    dead_zone_fraction: Annotated[float, Field(ge=0.0, le=0.5)] = 0.03
    """This part of the travel around the centre does nothing, 0 to 0.5."""
    curve_exponent: Annotated[float, Field(ge=0.2, le=5.0)] = 1.0
    """1 is a straight line; more is gentler around the centre, less is livelier."""
    scale: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0
    """Full travel asks for this part of the angle that the speed allows."""

    def shape(self, fraction: float) -> float:
        """What a travel asks for, -1 (full left) to 1 (full right).

        Args:
            fraction: the travel, -1 (full left) to 1 (full right); more counts as full.
        """
        size = min(abs(fraction), 1.0)
        if size <= self.dead_zone_fraction:
            return 0.0
        beyond = (size - self.dead_zone_fraction) / (1.0 - self.dead_zone_fraction)
        return copysign(self.scale * beyond**self.curve_exponent, fraction)
