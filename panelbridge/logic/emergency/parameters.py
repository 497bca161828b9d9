"""The numbers of the emergency extension."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from panelbridge.logic.emergency.facts import Means
from panelbridge.logic.kit.parameters import Parameters


class EmergencyParameters(Parameters):
    """Emergency extension of the gear."""

    means: Means = "air"
    """What extends the gear: air of a bottle, its own weight, or a pump or crank that is worked
    by hand."""
    bottle_full_psi: Annotated[float, Field(gt=0.0, le=10000.0)] = 2400.0
    """Pressure of the full air bottle, psi."""
    extension_use_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 900.0
    """By how much one extension lowers the pressure of the bottle, psi."""
    brake_use_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 150.0
    """By how much one full application of the emergency brake lowers it, psi."""
    bottle_low_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 1300.0
    """At or below this pressure the bottle's caution is lit, psi."""
    bottle_least_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 400.0
    """At or below this pressure the bottle moves neither the gear nor the brakes, psi."""
    bottle_leak_psi_per_min: Annotated[float, Field(gt=0.0, le=10000.0)] = 200.0
    """How fast the pressure falls while the bottle leaks (a failure of the bench), psi a minute."""
    reset_fills_bottle: bool = True
    """The reset on the ground stands for a visit of the mechanics: it fills the bottle again."""
    stroke_s: Annotated[float, Field(gt=0.0, le=10.0)] = 1.0
    """How long one push of the hand pump drives the legs, s."""
    crank_turns: Annotated[int, Field(ge=1, le=500)] = 50
    """So many turns of the hand crank bring the gear down, at any pace."""
    pump_without_handle: bool = False
    """The first push of the hand pump, or turn of the crank, begins the extension: there is no
    handle to pull before."""
