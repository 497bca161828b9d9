"""The numbers of the night light."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class NightLightParameters(Parameters):
    """The light over the gear handle; it burns while the night switch is on."""

    dimmer_at_most_fraction: Annotated[float, Field(ge=0.0, le=0.9)] | None = None
    """It burns too while the dimmer knob is at or below this, for panels without a night switch,
    0 to 1; null = the knob does not matter."""
    dimmer_play_fraction: Annotated[float, Field(ge=0.0, le=0.1)] = 0.05
    """The knob has to go this far beyond before the light goes out, 0 to 1."""
