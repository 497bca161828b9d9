"""The feed file: where the aircraft's state comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from panelbridge.config.feed_base import FeedBase
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.value_names import add_value_keys, each_value
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import put_values, values_of
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.signals import AircraftState


class DemoFlightFeed(FeedBase):
    """The demonstration flight that is built in: taxi, take-off, approach, landing."""

    source: Literal["demo_flight"]
    """Where the data comes from."""
    repeat: bool = False
    """Begin again after the landing, instead of ending there."""


ModelName = Literal["light_twin_jet", "heavy_freighter"]
"""The aircraft of the flight model: types of our own invention."""


class FlightModelFile(FeedBase):
    """An aircraft that is flown in this process, from taxi to a stop (extra ``fdm``)."""

    source: Literal["flight_model"]
    """Where the data comes from."""
    model: ModelName = "light_twin_jet"
    """Which aircraft flies."""
    repeat: bool = False
    """Fly again after the landing, instead of ending there."""


class FixedValues(Parameters):
    """An aircraft that stands still in time, by name. A value that is left out is unknown."""

    model_config = ConfigDict(extra="allow", json_schema_extra=add_value_keys)

    def state(self, aircraft: AircraftParameters) -> AircraftState:
        """The values as the logic of ``aircraft`` reads them."""
        values = each_value(aircraft, self.model_extra or {})
        return put_values(values_of(aircraft), AircraftState(), values)


class FixedFeedFile(FeedBase):
    """The aircraft stands still with the values of this file."""

    source: Literal["fixed"]
    """Where the data comes from."""
    values: FixedValues
    """The values."""

    @property
    def values_by_name(self) -> Mapping[str, object]:
        """What it gives."""
        return self.values.model_extra or {}


FeedFile = Annotated[
    DemoFlightFeed | FixedFeedFile | FlightModelFile | LinkFeedFile, Field(discriminator="source")
]
"""A feed file of any source."""
