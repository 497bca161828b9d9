"""The feed file: where the aircraft's state comes from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.parameters import Parameters
from panelbridge.signals import AircraftState, GearPosition

Fraction = Annotated[float, Field(ge=0.0, le=1.0)]


class _Feed(Parameters):
    kind: Literal["feed"]
    """What this file is."""
    format: Literal[1]
    """Version of the file's layout; this program reads 1."""
    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The feed's name, for screens."""
    stale_after_s: Annotated[float, Field(gt=0.0, le=60.0)] = 2.0
    """Data older than this is not trusted any more: it counts as unknown, s."""


class DemoFlightFeed(_Feed):
    """The demonstration flight that is built in: taxi, take-off, approach, landing."""

    source: Literal["demo_flight"]
    """Where the data comes from."""
    repeat: bool = False
    """Begin again after the landing, instead of ending there."""


class FixedValues(Parameters):
    """An aircraft that stands still in time. A value that is left out is unknown."""

    airspeed_kias: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    """Indicated airspeed, kt."""
    altitude_ft: Annotated[float, Field(ge=-2000.0, le=60_000.0)] | None = None
    """Pressure altitude, ft."""
    ground_speed_kt: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    """Speed over the ground, kt."""
    throttle_fraction: tuple[Fraction | None, ...] = ()
    """Lever of each engine, 0 (idle) to 1 (full), one for each engine of the aircraft."""
    flap_deg: Annotated[float, Field(ge=0.0, le=90.0)] | None = None
    """Flap angle, degrees."""
    strut_compressed: tuple[bool | None, ...] = ()
    """Squat switch of each leg, true when weight is on it; in the order of the aircraft's legs."""
    gear_handle: Literal["up", "down"] | None = None
    """Where the aircraft's own gear handle stands."""
    hydraulic_pressure_psi: Annotated[float, Field(ge=0.0, le=10_000.0)] | None = None
    """Pressure of the main hydraulic system, psi."""
    engine_running: tuple[bool | None, ...] = ()
    """Whether each engine runs and drives its hydraulic supply, one for each engine."""
    bus_powered: bool | None = None
    """Whether the electrical bus has power; unknown counts as powered."""
    wheel_speed_rpm: tuple[Annotated[float, Field(ge=0.0, le=5000.0)] | None, ...] = ()
    """Turning of each braked wheel, revolutions a minute, in the order of the aircraft file."""
    brake_pedal_fraction: tuple[Fraction | None, ...] = ()
    """The brake pedals, left and right, 0 to 1."""
    steering_pedal_fraction: Annotated[float, Field(ge=-1.0, le=1.0)] | None = None
    """The steering pedals, -1 (full left) to 1 (full right)."""
    brake_pressure_psi: tuple[Annotated[float, Field(ge=0.0, le=10_000.0)] | None, ...] = ()
    """Pressure in the left and right brakes, psi; read when the feed is the authority for it."""
    antiskid_working: tuple[bool | None, ...] = ()
    """Whether anti-skid works on each braked wheel; read when the feed is the authority for it."""

    def state(self) -> AircraftState:
        """The values as the logic reads them."""
        return AircraftState(
            airspeed_kias=self.airspeed_kias,
            altitude_ft=self.altitude_ft,
            ground_speed_kt=self.ground_speed_kt,
            throttle_fraction=self.throttle_fraction,
            flap_deg=self.flap_deg,
            strut_compressed=self.strut_compressed,
            gear_handle=None if self.gear_handle is None else GearPosition(self.gear_handle),
            hydraulic_pressure_psi=self.hydraulic_pressure_psi,
            engine_running=self.engine_running,
            bus_powered=self.bus_powered,
            wheel_speed_rpm=self.wheel_speed_rpm,
            brake_pedal_fraction=self.brake_pedal_fraction,
            steering_pedal_fraction=self.steering_pedal_fraction,
            brake_pressure_psi=self.brake_pressure_psi,
            antiskid_working=self.antiskid_working,
        )


class FixedFeedFile(_Feed):
    """The aircraft stands still with the values of this file."""

    source: Literal["fixed"]
    """Where the data comes from."""
    values: FixedValues
    """The values."""


FeedFile = Annotated[DemoFlightFeed | FixedFeedFile, Field(discriminator="source")]
"""A feed file of any source."""
