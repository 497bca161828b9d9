"""The numbers of anti-skid."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class AntiskidParameters(Parameters):
    """Anti-skid of the braked wheels."""

    left_leg: str = "left"
    """Name of the leg whose strut shows that the left side is on the ground."""
    right_leg: str = "right"
    """The same for the right side."""
    spun_up_rpm: Annotated[float, Field(gt=0.0, le=3000.0)] = 140.0
    """A wheel that turns faster than this is spun up, revolutions a minute."""
    spun_up_hysteresis_rpm: Annotated[float, Field(ge=0.0, le=1000.0)] = 40.0
    """It no longer is this far below, revolutions a minute."""
    touchdown_protection: bool = True
    """No pedal brakes in the air, and after a touchdown until the wheel has spun up."""
    touchdown_timeout_s: Annotated[float, Field(gt=0.0, le=30.0)] = 4.0
    """After a touchdown the brakes are free at the latest after this time, s."""
    locked_ratio: Annotated[float, Field(ge=0.0, le=0.9)] = 0.3
    """A braked wheel slower than this part of the fastest other one is locked, and is let go."""
    rolling_ratio: Annotated[float, Field(ge=0.0, le=1.0)] = 0.7
    """From this part on it is braked again; not below ``locked_ratio``."""
    self_test_s: Annotated[float, Field(ge=0.0, le=30.0)] = 3.0
    """All its lamps are lit for this time after switching on, s."""
    failure_colour: Literal["amber", "red"] = "amber"
    """Colour of the failure lamps: amber asks for action later, red at once (14 CFR 23.1322)."""
