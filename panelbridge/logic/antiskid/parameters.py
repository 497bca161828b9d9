"""The numbers of anti-skid."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

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
    touchdown_timeout_s: Annotated[float, Field(gt=0.0, le=30.0)] = 2.5
    """After a touchdown the brakes are free at the latest after this time, s. One operator's manual
    has about 2.5 s."""
    # That manual: US Navy 1278BK1.
    locked_ratio: Annotated[float, Field(ge=0.0, le=0.9)] = 0.3
    """A braked wheel slower than this part of the fastest other one is locked, and is let go."""
    rolling_ratio: Annotated[float, Field(ge=0.0, le=1.0)] = 0.7
    """From this part on it is braked again; not below ``locked_ratio``."""
    wheel_radius_m: Annotated[float, Field(gt=0.05, le=2.0)] | None = None
    """Rolling radius of the braked wheels, metres. With it the speed over the ground is a reference
    too: wheels that all lock together are let go, and one that turns too fast is no reference. null
    compares the wheels with one another alone."""
    too_fast_ratio: Annotated[float, Field(gt=1.0, le=10.0)] | None = 1.5
    """A wheel that turns faster than this many times the speed over the ground has a wrong sensor;
    null never finds one. It needs 'wheel_radius_m'."""
    low_speed_off_kt: Annotated[float, Field(ge=0.0, le=100.0)] | None = 12.0
    """At or below this speed over the ground no wheel is let go, knots, for tight turns; null for
    no limit. One operator's manual has 10 to 13 kt."""
    # That manual: US Navy 1278BK1.
    low_speed_on_kt: Annotated[float, Field(ge=0.0, le=150.0)] = 30.0
    """Above this speed wheels are let go again, knots; not below 'low_speed_off_kt'."""
    sensor_fault_s: Annotated[float, Field(gt=0.0, le=60.0)] | None = 3.0
    """A wheel without a speed, or that stands while others turn, has failed after this time, s;
    null finds no such failure: for a simulator that sends no wheel speeds."""
    dump_limit_s: Annotated[float, Field(gt=0.0, le=30.0)] | None = 2.0
    """A wheel that is let go for longer than this is braked by hand from then on, s, until
    anti-skid is switched off and on; null for no limit. One operator's manual has 2 s."""
    # That manual: US Navy 1278BK1.
    spin_up_limit_s: Annotated[float, Field(gt=0.0, le=30.0)] | None = 3.0
    """The same for a wheel that has not spun up this long after a touchdown, s; null for no limit.
    That manual has 3 s."""
    caution_delay_s: Annotated[float, Field(ge=0.0, le=30.0)] = 1.0
    """The lamp of such a wheel is lit this much later, s. That manual has 1 s."""
    accumulator_caution_s: Annotated[float, Field(gt=0.0, le=600.0)] | None = 5.0
    """A caution is lit when anti-skid is on for this time while the brakes draw on the accumulator,
    s, which its work empties; null for no caution. Operators' manuals have it off then."""
    # Those manuals: US Navy 1278BK1 and P-1239. The time is our own.
    off_lamp_on_ground: bool = True
    """The lamp for anti-skid that is off is lit on the ground too; else only before a landing."""
    self_test_s: Annotated[float, Field(ge=0.0, le=30.0)] = 3.0
    """All its lamps are lit for this time after switching on, s."""
    failure_colour: Literal["amber", "red"] = "amber"
    """Colour of the failure lamps: amber asks for action later, red at once (14 CFR 23.1322)."""

    @model_validator(mode="after")
    def _low_speeds_are_in_order(self) -> Self:
        low = self.low_speed_off_kt
        if low is not None and self.low_speed_on_kt < low:
            raise PydanticCustomError(
                "low_speeds",
                "low_speed_on_kt is {on} and must be {off} or more, as low_speed_off_kt is",
                {"on": self.low_speed_on_kt, "off": low},
            )
        return self
