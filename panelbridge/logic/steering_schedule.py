"""How far the nose wheel may be turned at which speed, and what the pedals make of it.

The angle falls with the speed along straight lines between points and never grows. That a speed
which nobody knows allows the smallest angle is our own decision.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import copysign, isnan
from typing import Annotated

from pydantic import Field

from panelbridge.logic.parameters import Parameters


class SchedulePoint(Parameters):
    """A point of the schedule."""

    speed_kt: Annotated[float, Field(ge=0.0, le=400.0)]
    """Speed over the ground, knots."""
    angle_deg: Annotated[float, Field(ge=0.0, le=90.0)]
    """Greatest angle of the nose wheel to either side at this speed, degrees."""


class PedalShaping(Parameters):
    """What pedals or a tiller of a panel make of their travel."""

    dead_zone_fraction: Annotated[float, Field(ge=0.0, le=0.5)] = 0.03
    """So much of the travel around the centre does nothing, 0 to 0.5."""
    curve_exponent: Annotated[float, Field(ge=0.2, le=5.0)] = 1.0
    """1 is a straight line; more is gentler around the centre, less is livelier."""
    scale: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0
    """Full travel asks for so much of the angle that the speed allows."""

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


def schedule_mistake(points: Sequence[SchedulePoint]) -> str:
    """What is wrong with a schedule, in words; empty when nothing is."""
    for before, after in pairwise(points):
        if after.speed_kt <= before.speed_kt:
            return (
                f"the speeds of a schedule must grow from point to point, and "
                f"{after.speed_kt:g} kt comes after {before.speed_kt:g} kt"
            )
        if after.angle_deg > before.angle_deg:
            return (
                f"the angle must not grow with the speed, and it is {before.angle_deg:g} degrees "
                f"at {before.speed_kt:g} kt and {after.angle_deg:g} at {after.speed_kt:g} kt"
            )
    return ""


class Schedule:
    """The schedule.

    Args:
        points: at least one, with growing speeds and angles that do not grow.
    """

    def __init__(self, points: Sequence[SchedulePoint]) -> None:
        self._speeds_kt = [point.speed_kt for point in points]
        self._angles_deg = [point.angle_deg for point in points]

    def angle_deg(self, speed_kt: float | None) -> float:
        """Greatest angle at a speed; the smallest of all when the speed is unknown."""
        if speed_kt is None or isnan(speed_kt):
            return self._angles_deg[-1]
        place = bisect_right(self._speeds_kt, speed_kt)
        if place == 0:
            return self._angles_deg[0]
        if place == len(self._speeds_kt):
            return self._angles_deg[-1]
        slow, fast = self._speeds_kt[place - 1], self._speeds_kt[place]
        large, small = self._angles_deg[place - 1], self._angles_deg[place]
        # Written so that it falls with the speed bit by bit, and is never outside of its ends.
        return small + (large - small) * ((fast - speed_kt) / (fast - slow))
