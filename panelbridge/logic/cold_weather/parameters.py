"""The numbers of the cold-weather routine."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Order, Parameters


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

    def orders(self) -> Iterator[Order]:
        """The pedals' limits."""
        yield from self.ordered("pedal_released_fraction", "pedal_pressed_fraction")
