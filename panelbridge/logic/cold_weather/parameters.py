"""The numbers of the cold-weather routine."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters


class ColdWeatherParameters(Parameters):
    """Cold-weather routine."""

    leave_down_s: Annotated[float, Field(gt=0.0, le=600.0)] = 90.0
    """After a take-off the gear has to stay down for this time, s."""
    early_raise_pattern: Literal["silent", "intermittent", "continuous"] = "intermittent"
    """How the horn sounds while the gear handle is up before that."""
    brake_pumps: Annotated[int, Field(ge=1, le=20)] = 5
    """How often both brake pedals are to be pumped before the landing."""
    pedal_pressed_fraction: Annotated[float, Field(gt=0.0, lt=1.0)] = 0.6
    """A pedal above this is pressed, 0 to 1."""
    pedal_released_fraction: Annotated[float, Field(ge=0.0, lt=1.0)] = 0.2
    """A pedal at or below this is released, 0 to 1; less than 'pedal_pressed_fraction'."""

    @model_validator(mode="after")
    def _pedal_limits_are_in_order(self) -> Self:
        if self.pedal_released_fraction >= self.pedal_pressed_fraction:
            raise PydanticCustomError(
                "pedal_limits",
                "pedal_released_fraction is {low} and must be less than pedal_pressed_fraction,"
                " {high}",
                {"low": self.pedal_released_fraction, "high": self.pedal_pressed_fraction},
            )
        return self
