"""The whole aircraft's numbers: the parameters of every system together."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.air_ground import AirGroundParameters
from panelbridge.logic.antiskid_rules import AntiskidParameters
from panelbridge.logic.brake_parameters import BrakesParameters
from panelbridge.logic.cold_weather import ColdWeatherParameters
from panelbridge.logic.emergency import EmergencyParameters
from panelbridge.logic.gear import GearOrderParameters
from panelbridge.logic.gear_power import GearPowerParameters
from panelbridge.logic.gear_warning_parameters import GearWarningParameters
from panelbridge.logic.handle_lock import HandleLockParameters
from panelbridge.logic.hydraulic_parameters import HydraulicsParameters
from panelbridge.logic.lamps import LampParameters
from panelbridge.logic.legs import LegParameters
from panelbridge.logic.own_lamp_parameters import OwnLampParameters
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.speed_limits import SpeedLimitsParameters
from panelbridge.logic.steering import SteeringParameters

Authority = Literal["model", "feed"]


class AuthorityParameters(Parameters):
    """Who says what: the feed (a simulator's own values) or this program's model."""

    legs: Authority = "model"
    """Positions and locks of the legs; with 'feed' they are unknown while the feed tells none."""
    hydraulics: Authority = "model"
    """Hydraulic pressure; with 'feed' nothing has pressure while the feed tells none."""
    brakes: Authority = "model"
    """Pressure in the brakes; with 'feed' that of the feed is shown and judged."""
    antiskid: Authority = "model"
    """Whether anti-skid works on each wheel; with 'feed' it works where the feed says so."""


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
    gear_power: GearPowerParameters = GearPowerParameters()
    """What moves the legs."""
    gear_order: GearOrderParameters = GearOrderParameters()
    """In which order the legs move."""
    handle_lock: HandleLockParameters = HandleLockParameters()
    """Lock of the gear handle on the ground."""
    hydraulics: HydraulicsParameters | None = None
    """Hydraulic system; null for an aircraft without: then whatever needs pressure has none."""
    emergency: EmergencyParameters | None = None
    """Emergency extension of the gear; null for an aircraft without."""
    brakes: BrakesParameters | None = None
    """Wheel brakes; null when the panel has nothing to do with them."""
    antiskid: AntiskidParameters | None = None
    """Anti-skid; null for an aircraft without."""
    speed_limits: SpeedLimitsParameters | None = None
    """Speeds for the gear; null for none that are watched."""
    cold_weather: ColdWeatherParameters | None = None
    """Routine for take-off and landing in slush; null for none."""
    gear_warning: GearWarningParameters = GearWarningParameters()
    """Gear warning horn."""
    lamps: LampParameters = LampParameters()
    """Brightness, flashing and tests of the lamps."""
    own_lamps: dict[str, OwnLampParameters] = Field(default_factory=dict)
    """Lamps of your own, each lit by a condition; under a name that ends in its colour:
    flaps_moving_amber."""
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
