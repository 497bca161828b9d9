"""The numbers of anti-skid, and what lights its lamps.

That its failure is a caution, amber, and asks for action later, is 14 CFR 23.1322 (Amdt 23-43);
an aircraft file may say red.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule


class AntiskidParameters(Parameters):
    """Anti-skid of the braked wheels."""

    left_leg: str = "left"
    """Name of the leg whose strut tells that the left side is on the ground."""
    right_leg: str = "right"
    """The same for the right side."""
    spun_up_rpm: Annotated[float, Field(gt=0.0, le=3000.0)] = 140.0
    """A wheel that turns faster than this is spun up, revolutions a minute."""
    spun_up_hysteresis_rpm: Annotated[float, Field(ge=0.0, le=1000.0)] = 40.0
    """It no longer is so much below, revolutions a minute."""
    touchdown_protection: bool = True
    """No pedal brakes in the air, and after a touchdown until the wheel has spun up."""
    touchdown_timeout_s: Annotated[float, Field(gt=0.0, le=30.0)] = 4.0
    """After a touchdown the brakes are free at the latest after so long, s."""
    locked_ratio: Annotated[float, Field(ge=0.0, le=0.9)] = 0.3
    """A braked wheel slower than this part of the fastest other one is locked, and is let go."""
    rolling_ratio: Annotated[float, Field(ge=0.0, le=1.0)] = 0.7
    """From this part on it is braked again; not below ``locked_ratio``."""
    self_test_s: Annotated[float, Field(ge=0.0, le=30.0)] = 3.0
    """All its lamps are lit for so long after switching on, s."""
    failure_colour: Literal["amber", "red"] = "amber"
    """Colour of the failure lamps: amber asks for action later, red at once (14 CFR 23.1322)."""


@dataclass(frozen=True, slots=True)
class AntiskidConditions:
    """All that decides the lamp of the whole.

    Attributes:
        switched_on: the switch is known to be on.
        powered: the electrical bus is not known to be dead.
        parked: the parking brake is not released.
        gear_down: every leg is known to be locked down.
        in_air: the aircraft is in the air, or nobody knows.
        testing: the lamps are being tested.
    """

    switched_on: bool
    powered: bool
    parked: bool
    gear_down: bool
    in_air: bool
    testing: bool


@dataclass(frozen=True, slots=True)
class WheelConditions:
    """All that decides the lamp of a wheel.

    Attributes:
        running: anti-skid is switched on and has power.
        failed: it does not work on this wheel, or nobody knows.
        testing: the lamps are being tested.
    """

    running: bool
    failed: bool
    testing: bool


_BEFORE_LANDING = (("gear_down", True), ("in_air", True))
_TESTED = Rule("self-test of anti-skid", (("testing", True),), "lights all its lamps")
OFF_RULES = (
    Rule(
        "anti-skid off before landing",
        (("switched_on", False), *_BEFORE_LANDING),
        "lights the caution",
    ),
    Rule(
        "anti-skid without power before landing",
        (("switched_on", True), ("powered", False), *_BEFORE_LANDING),
        "lights the caution",
    ),
    Rule(
        "anti-skid on with the parking brake not released",
        (("switched_on", True), ("parked", True)),
        "lights the caution: it does not work",
    ),
    _TESTED,
)
WHEEL_RULES = (
    Rule(
        "anti-skid failed on this wheel",
        (("running", True), ("failed", True)),
        "lights its lamp",
    ),
    _TESTED,
)
OFF_LAMP = "antiskid_off_amber"
"""The reminder that it is off before a landing; and that it cannot work."""
REMINDERS = OFF_RULES[:2]
"""Those of them that remind."""
