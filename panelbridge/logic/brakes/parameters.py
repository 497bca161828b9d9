"""The numbers of the brakes and the names of the braked wheels."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.hydraulics.parameters import GasExponent, Psi
from panelbridge.logic.kit.parameters import Parameters

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")


class WheelParameters(Parameters):
    """A braked wheel."""

    name: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,15}$")]
    """Its name: small letters, digits, underscores. Its lamp is called after it."""
    side: Side
    """Which pedal brakes it."""


_WHEELS = [WheelParameters(name="left", side="left"), WheelParameters(name="right", side="right")]


class BrakeAccumulatorParameters(Parameters):
    """An accumulator of the brakes alone, filled by the hydraulics through a check valve."""

    gas_volume_l: Annotated[float, Field(gt=0.0, le=100.0)] = 1.0
    """Volume of its gas when no fluid is in it, litres."""
    precharge_psi: Psi = 1000.0
    """Pressure of its gas when no fluid is in it, psi."""
    gas_exponent: GasExponent = 1.0
    """Exponent of its gas: 1 while it works slowly, 1.4 for fast applications of the brakes."""
    fill_l_per_s: Annotated[float, Field(gt=0.0, le=10.0)] = 0.03
    """Flow through its check valve while the pressure line has more than it, litres a second."""


class BrakesParameters(Parameters):
    """Wheel brakes, parking brake, emergency brake."""

    wheels: Annotated[list[WheelParameters], Field(min_length=1, max_length=16)] = _WHEELS
    """The braked wheels, in the order in which feeds list them."""
    full_psi: Annotated[float, Field(gt=0.0, le=10000.0)] = 1600.0
    """Pressure in the brakes at full braking, psi."""
    pedal_free_fraction: Annotated[float, Field(ge=0.0, le=0.4)] = 0.05
    """Travel of a pedal or of the emergency lever that does nothing, 0 to 0.4."""
    pedal_full_fraction: Annotated[float, Field(ge=0.5, le=1.0)] = 0.95
    """Travel from which on the brake is full: a full application, 0.5 to 1."""
    needs_hydraulics: bool = True
    """The brakes need hydraulic pressure; else the pedals press them by themselves."""
    accumulator: BrakeAccumulatorParameters | None = None
    """Their own accumulator, which no loss of supply empties; null: the accumulator of the
    hydraulics is theirs too, where it serves the wheel brakes."""
    application_l: Annotated[float, Field(gt=0.0, le=10.0)] = 0.05
    """Fluid that a full application of all brakes takes, litres."""
    low_applications: Annotated[float, Field(ge=0.0, le=100.0)] = 3.0
    """With this many full applications left, or fewer, the caution of the accumulator is lit; 14
    CFR 25.735(h) asks for six in a full one."""
    parking_brake: bool = True
    """The aircraft has a parking brake."""
    # TM 55-1520-240-23-6 p. 7-621: pedals pressed and handle pulled trap the fluid.
    parking_needs_pedals: bool = False
    """The parking brake only shuts in what the pedals press; else it presses by itself."""
    parking_set_fraction: Annotated[float, Field(ge=0.5, le=1.0)] = 0.85
    """At or beyond this travel of its lever the parking brake is set, 0.5 to 1."""
    parking_released_fraction: Annotated[float, Field(ge=0.0, le=0.4)] = 0.05
    """At or below this travel of its lever the parking brake is released, 0 to 0.4."""
    parking_hold_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 500.0
    """At or below this pressure the parking brake no longer holds, psi."""
    parking_residual_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 40.0
    """Pressure above this in released brakes counts as trapped, psi; 14 CFR 25.735(d)."""
    parking_bleed_psi_per_min: Annotated[float, Field(gt=0.0, le=10000.0)] = 5.0
    """How fast the parking brake bleeds down without hydraulic pressure, psi a minute."""
    # US Navy 1278BK1: anti-skid off before the parking brake is set.
    antiskid_bleed_psi_per_min: Annotated[float, Field(ge=0.0, le=10000.0)] = 20.0
    """How much faster while anti-skid is on: its valves let fluid through, psi a minute."""
    emergency_brake: bool = True
    """The aircraft has an emergency brake, worked by the air of the emergency bottle."""

    @field_validator("wheels")
    @classmethod
    def _have_names_of_their_own(cls, wheels: list[WheelParameters]) -> list[WheelParameters]:
        names = [wheel.name for wheel in wheels]
        for name in names:
            if names.count(name) > 1:
                raise PydanticCustomError(
                    "twin_wheels", "two wheels are called '{name}'", {"name": name}
                )
        return wheels
