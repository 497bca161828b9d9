"""A feed of constant values."""

from __future__ import annotations

from msgspec.structs import replace

from panelbridge.feeds.feed import Feed, FeedReading
from panelbridge.signals import AircraftState, Commands, GearPosition


def parked(legs: int, engines: int, wheels: int = 0) -> AircraftState:
    """A parked aircraft: weight on all wheels, engines off.

    Args:
        legs: number of legs.
        engines: number of engines.
        wheels: number of braked wheels.
    """
    return AircraftState(
        airspeed_kias=0.0,
        altitude_ft=0.0,
        ground_speed_kt=0.0,
        throttle_fraction=(0.0,) * engines,
        flap_deg=0.0,
        strut_compressed=(True,) * legs,
        gear_handle=GearPosition.DOWN,
        engine_running=(False,) * engines,
        wheel_speed_rpm=(0.0,) * wheels,
    )


class FixedFeed(Feed):
    """Always ``aircraft``, but its gear handle follows the panel's command."""

    def __init__(self, aircraft: AircraftState, name: str = "fixed values") -> None:
        self.name = name
        self._reading = FeedReading(aircraft=aircraft, fresh=True)

    def read(self, now_s: float) -> FeedReading:
        """The fixed values, valid now."""
        return replace(self._reading, time_s=now_s)

    def send(self, now_s: float, commands: Commands) -> None:
        """Move the simulator's own handle to the commanded position."""
        aircraft = self._reading.aircraft
        if commands.gear is not None and commands.gear != aircraft.gear_handle:
            self._reading = replace(
                self._reading, aircraft=replace(aircraft, gear_handle=commands.gear)
            )

    def restart(self, now_s: float) -> None:
        """Nothing: fixed values have no start."""
