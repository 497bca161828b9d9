"""The numbers of the brakes' heat."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters

Celsius = Annotated[float, Field(gt=-80.0, le=1500.0)]
Minutes = Annotated[float, Field(gt=0.0, le=600.0)]


class BrakeHeatParameters(Parameters):
    """What a stop makes of the brakes' temperature, and how it goes down again."""

    mass_kg: Annotated[float, Field(gt=0.0, le=1_000_000.0)] = 6000.0
    """Mass of the aircraft while the feed gives none, kg."""
    brakes_share_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0
    """Share of the energy lost while braking that the brakes take, 0 to 1; drag and reversers take
    the rest. It goes to the braked wheels in the shares of their braking (14 CFR 23.735(a)(2))."""
    heat_sink_kg: Annotated[float, Field(gt=0.0, le=2000.0)] = 30.0
    """Mass of one wheel's brake that takes the heat, kg."""
    specific_heat_j_per_kg_k: Annotated[float, Field(ge=100.0, le=5000.0)] = 502.0
    """Its specific heat, J/(kg K): 502 for steel, about 1000 for carbon."""
    ambient_c: Annotated[float, Field(ge=-60.0, le=60.0)] = 15.0
    """Temperature of the air, degrees Celsius: everything begins and ends there."""
    brake_cooling_min: Minutes = 20.0
    """Time constant of the brake's cooling, minutes: 37 % of the heat is left after it."""
    wheel_cooling_min: Minutes = 45.0
    """Time constant of the wheel, which the brake heats after the stop, minutes."""
    flight_cooling_factor: Annotated[float, Field(ge=1.0, le=20.0)] = 2.0
    """In flight with the gear down everything cools this many times as fast."""
    too_hot_c: Celsius | None = 300.0
    """A brake above this is too hot for a take-off, degrees Celsius; null = no such caution."""
    too_hot_hysteresis_c: Annotated[float, Field(ge=0.0, le=200.0)] = 20.0
    """The caution ends this far below, and never while a wheel still heats up."""
    fuse_plug_c: Celsius | None = 162.0
    """Wheel temperature at which its fuse plug melts and lets the air out of the tyre, degrees
    Celsius; null = there are none."""

    @model_validator(mode="after")
    def _wheel_is_slower(self) -> Self:
        if self.wheel_cooling_min < 1.1 * self.brake_cooling_min:
            raise PydanticCustomError(
                "wheel_too_fast",
                "wheel_cooling_min is {wheel} and must be {least} or more: 1.1 times"
                " brake_cooling_min",
                {
                    "wheel": self.wheel_cooling_min,
                    "least": round(1.1 * self.brake_cooling_min, 6),
                },
            )
        return self
