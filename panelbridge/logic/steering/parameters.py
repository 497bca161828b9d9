"""The numbers of the nose-wheel steering, and its angle at each speed."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters


class SchedulePoint(Parameters):
    """A point of the schedule."""

    speed_kt: Annotated[float, Field(ge=0.0, le=400.0)]
    """Speed over the ground, knots."""
    angle_deg: Annotated[float, Field(ge=0.0, le=90.0)]
    """Greatest angle of the nose wheel to either side at this speed, degrees."""


_POINTS = [
    SchedulePoint(speed_kt=10.0, angle_deg=60.0),
    SchedulePoint(speed_kt=30.0, angle_deg=25.0),
    SchedulePoint(speed_kt=90.0, angle_deg=5.0),
]


class SteeringParameters(Parameters):
    """Nose-wheel steering."""

    steering_leg: str | None = "nose"
    """Name of the leg that is steered; null for an aircraft without steering."""
    schedule: Annotated[list[SchedulePoint], Field(min_length=1, max_length=20)] = _POINTS
    """Greatest angle at each speed, slowest first; straight lines between, and the ends beyond."""
    needs_hydraulics: bool = False
    """It works only while its hydraulic supply has pressure."""
    needs_bus: bool = False
    """It works only while the electrical bus has power."""

    new_press_on_ground: bool = True
    """A button that was held in the air engages nothing at the touchdown: it has to be pressed
    again on the ground. false for a type that takes it as it is held."""

    @field_validator("schedule")
    @classmethod
    def _never_grows(cls, points: list[SchedulePoint]) -> list[SchedulePoint]:
        if error := schedule_error(points):
            raise PydanticCustomError("schedule", "{error}", {"error": error})
        return points

    def limit_deg(self, speed_kt: float | None) -> float:
        """Greatest angle to either side at a speed, degrees.

        Unknown allows the smallest angle (our own decision).
        """
        points = self.schedule
        if speed_kt is None:
            return points[-1].angle_deg
        place = bisect_right([point.speed_kt for point in points], speed_kt)
        if place in (0, len(points)):
            return points[max(place - 1, 0)].angle_deg
        slow, fast = points[place - 1], points[place]
        # Written so that it falls with the speed bit by bit, and is never outside of its ends.
        share = (fast.speed_kt - speed_kt) / (fast.speed_kt - slow.speed_kt)
        return fast.angle_deg + (slow.angle_deg - fast.angle_deg) * share


def schedule_error(points: Sequence[SchedulePoint]) -> str:
    """What is wrong with a schedule, a sentence; empty when nothing is."""
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
