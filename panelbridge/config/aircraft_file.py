"""The aircraft file: the numbers and rules of an aircraft type."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.config.feed_file import Fraction
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.parameters import Parameters


class StartCondition(Parameters):
    """How a scenario can begin. A value that is left out is unknown."""

    airspeed_kias: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    """Indicated airspeed, kt."""
    altitude_ft: Annotated[float, Field(ge=-2000.0, le=60_000.0)] | None = None
    """Pressure altitude, ft."""
    ground_speed_kt: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    """Speed over the ground, kt."""
    throttles: Fraction | None = None
    """Every throttle lever, 0 (idle) to 1 (full)."""
    flap_deg: Annotated[float, Field(ge=0.0, le=90.0)] | None = None
    """Flap angle, degrees."""
    struts: Literal["compressed", "extended"] | None = None
    """Every strut; compressed when the wheels carry weight."""
    gear_handle: Literal["up", "down"] | None = None
    """The gear handle, the panel's and the simulator's; the gear is locked where it stands."""
    hydraulic_pressure_psi: Annotated[float, Field(ge=0.0, le=10_000.0)] | None = None
    """Pressure of the main hydraulic system, psi, as the simulator tells it."""
    engines: Literal["running", "stopped"] | None = None
    """Every engine."""
    bus_power: Literal["on", "off"] | None = None
    """Power of the electrical bus; unknown counts as on."""
    pedals: Fraction | None = None
    """Both brake pedals of the simulator, 0 (free) to 1."""
    wheels_rpm: Annotated[float, Field(ge=0.0, le=5000.0)] | None = None
    """Turning of every braked wheel, revolutions a minute."""
    steering_pedal_fraction: Annotated[float, Field(ge=-1.0, le=1.0)] | None = None
    """Steering pedals of the simulator, -1 (full left) to 1 (full right)."""


class AircraftFile(AircraftParameters):
    """An aircraft file: the parameters of every system."""

    kind: Literal["aircraft"]
    """What this file is."""
    format: Literal[1]
    """Version of the file's layout; this program reads 1."""
    starts: dict[str, StartCondition] = Field(default_factory=dict)
    """How scenarios can begin, each under a name of yours: parked, final approach."""
