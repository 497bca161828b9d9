"""A feed of one's own: an aircraft whose airspeed swings, to see what depends on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Literal

from msgspec.structs import replace
from pydantic import Field

from panelbridge.feeds import Feed, FeedReading, OwnFeedFile
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import AircraftState, Commands, GearPosition


class SwingFeedFile(OwnFeedFile):
    """Keys of a feed file with 'source: swing'."""

    source: Literal["swing"]
    """Where the data comes from."""
    highest_kias: Annotated[float, Field(gt=0.0, le=400.0)]
    """The airspeed swings between 0 and this."""
    period_s: Annotated[float, Field(ge=1.0, le=3600.0)] = 60.0
    """Time of a swing, s."""

    def make_feed(self, aircraft: AircraftParameters, wake: Callable[[], None]) -> Feed:
        """The feed; it needs no waking, for it has no thread of its own."""
        return SwingFeed(self, aircraft)


class SwingFeed(Feed):
    """In the air, with every lever open; its gear handle follows the panel's."""

    def __init__(self, file: SwingFeedFile, aircraft: AircraftParameters) -> None:
        self.name = file.name
        self._file = file
        self._handle = GearPosition.DOWN
        self._state = AircraftState(
            altitude_ft=3000.0,
            throttle_fraction=(0.8,) * aircraft.engines,
            engine_running=(True,) * aircraft.engines,
            strut_compressed=(False,) * len(aircraft.strut_names),
        )

    def read(self, now_s: float) -> FeedReading:
        """The aircraft now."""
        part = 0.5 - 0.5 * math.cos(2.0 * math.pi * now_s / self._file.period_s)
        aircraft = replace(
            self._state,
            airspeed_kias=self._file.highest_kias * part,
            gear_handle=self._handle,
        )
        return FeedReading(aircraft, fresh=True, time_s=now_s)

    def send(self, now_s: float, commands: Commands) -> None:
        """The panel's commands have changed."""
        if commands.gear is not None:
            self._handle = commands.gear

    def restart(self, now_s: float) -> None:
        """It has no start."""
