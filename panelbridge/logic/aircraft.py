"""The whole aircraft's numbers: the parameters of every system together."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.air_ground import AirGroundParameters
from panelbridge.logic.gear_warning import GearWarningParameters
from panelbridge.logic.lamps import LampParameters
from panelbridge.logic.legs import LegParameters
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.steering import SteeringParameters


class AuthorityParameters(Parameters):
    """Who says what: the feed (a simulator's own values) or this program's model."""

    legs: Literal["model", "feed"] = "model"
    """Positions and locks of the legs; with 'feed' they are unknown while the feed tells none."""


class AircraftParameters(Parameters):
    """An aircraft type."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The aircraft's name, for screens."""
    engines: Annotated[int, Field(ge=0, le=8)]
    """Number of engines, each with a throttle lever."""
    legs: Annotated[list[LegParameters], Field(min_length=1, max_length=6)]
    """The gear legs, in the order in which feeds and screens list them."""
    air_ground: AirGroundParameters = AirGroundParameters()
    """Air/ground sensing."""
    gear_warning: GearWarningParameters = GearWarningParameters()
    """Gear warning horn."""
    lamps: LampParameters = LampParameters()
    """Brightness and tests of the lamps."""
    steering: SteeringParameters = SteeringParameters()
    """Nose-wheel steering."""
    authority: AuthorityParameters = AuthorityParameters()
    """Who says what."""

    @model_validator(mode="after")
    def _legs_have_names_of_their_own(self) -> Self:
        names = [leg.name for leg in self.legs]
        for name in names:
            if names.count(name) > 1:
                raise PydanticCustomError(
                    "twin_legs", "two legs are called '{name}'", {"name": name}
                )
        leg = self.steering.steering_leg
        if leg is not None and leg not in names:
            raise PydanticCustomError(
                "no_such_leg",
                "steering.steering_leg is '{name}', and there is no leg of this name",
                {"name": leg},
            )
        return self
