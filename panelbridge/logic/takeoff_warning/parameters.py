"""The numbers of the take-off configuration warning."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters

Profile = Literal["cs_25", "14_cfr_25", "14_cfr_23"]
Degrees = Annotated[float, Field(ge=0.0, le=90.0)]
Units = Annotated[float, Field(ge=-30.0, le=30.0)]


class TakeoffWarningParameters(Parameters):
    """The horn and a red lamp at take-off thrust in a configuration that is not safe.

    What is null is not watched.
    """

    profile: Profile = "cs_25"
    """Which rule is followed. cs_25: CS 25.703. 14_cfr_25: 14 CFR 25.703, the same without the
    parking brake. 14_cfr_23: 14 CFR 23.703, flaps and trim alone, without a silence, and not ended
    by the rotation."""
    thrust_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.7
    """A throttle lever beyond this is set for take-off; 0 is idle, 1 is full."""
    thrust_hysteresis_fraction: Annotated[float, Field(ge=0.0, le=0.3)] = 0.02
    """A lever counts as back only at or below the setting less this."""
    parking_brake: bool = True
    """The parking brake has to be released, its lever as well as its pressure."""
    flap_least_deg: Degrees | None = None
    """Least flap angle for a take-off, degrees."""
    flap_most_deg: Degrees | None = None
    """Greatest flap angle for a take-off, degrees."""
    speed_brake_most_fraction: Annotated[float, Field(ge=0.0, lt=1.0)] | None = None
    """Speed brakes further out than this are not stowed, 0 to 1."""
    trim_least: Units | None = None
    """Least longitudinal trim for a take-off, in the units of its indicator."""
    trim_most: Units | None = None
    """Greatest longitudinal trim for a take-off, in the units of its indicator."""
    rotation_leg: str | None = None
    """The leg that leaves the ground first, when the aircraft rotates: that ends the warning. null
    = it ends when no leg is on the ground."""
    hold_back_from_kias: Annotated[float, Field(gt=0.0, le=300.0)] | None = None
    """Airspeed from which on no new warning begins, knots; one that sounds goes on. null = none."""
    silence_allowed: bool = True
    """A guarded button silences the horn until the thrust is taken back."""
    pattern: Literal["intermittent", "continuous"] = "continuous"
    """How the horn sounds."""
