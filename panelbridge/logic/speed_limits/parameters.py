"""The greatest airspeeds for the gear."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters

Knots = Annotated[float, Field(gt=0.0, le=600.0)]


class SpeedLimitsParameters(Parameters):
    """Greatest airspeeds for the gear; one that is null is not watched."""

    vlo_kias: Knots | None = None
    """Greatest airspeed at which the gear may move, knots, when one holds for both ways."""
    vlo_extend_kias: Knots | None = None
    """Greatest airspeed at which the gear may be extended, knots."""
    vlo_retract_kias: Knots | None = None
    """Greatest airspeed at which the gear may be retracted, knots."""
    vle_kias: Knots | None = None
    """Greatest airspeed at which the gear may be out, knots."""
    hysteresis_kias: Annotated[float, Field(ge=0.0, le=20.0)] = 2.0
    """A caution ends this far below its limit, knots."""

    @model_validator(mode="after")
    def _one_vlo_or_two(self) -> Self:
        two = self.vlo_extend_kias is not None or self.vlo_retract_kias is not None
        if self.vlo_kias is not None and two:
            raise PydanticCustomError(
                "vlo_twice",
                "vlo_kias sets both ways: give either it, or vlo_extend_kias and vlo_retract_kias",
            )
        return self

    def limits(self) -> Mapping[str, float | None]:
        """Each limit by its name, knots; None when it is not watched."""
        both = self.vlo_kias
        return {
            "vlo_extend": self.vlo_extend_kias if both is None else both,
            "vlo_retract": self.vlo_retract_kias if both is None else both,
            "vle": self.vle_kias,
        }
