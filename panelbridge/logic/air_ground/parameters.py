"""The numbers of air/ground sensing."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class AirGroundParameters(Parameters):
    """The squat switches of the struts."""

    settle_s: Annotated[float, Field(ge=0.0, le=2.0)] = 0.2
    """How long a squat switch must keep a new state before it counts, s."""
    disagree_limit_s: Annotated[float, Field(ge=0.5, le=120.0)] = 15.0
    """How long struts may disagree (nose up at take-off and landing) before it is a fault, s."""
    retract_override: bool = False
    """There is a guarded button that lets the gear retract though a squat switch says ground, for
    one that sticks in flight. It does nothing while every squat switch says so."""
    override_from_kias: Annotated[float, Field(gt=0.0, le=500.0)] | None = None
    """From this airspeed on it works though every one says so, knots; null for at no airspeed."""
