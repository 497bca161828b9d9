"""Which legs, engines and wheels of the model stand for those of an aircraft file."""

from __future__ import annotations

from math import pi

from msgspec import Struct

from panelbridge.logic.aircraft import AircraftParameters

_LEGS = ("nose", "left", "right")
_FT_M = 0.3048
_WHEEL_RADIUS_M = 0.29
"""Where the aircraft file names none."""


class FlownAircraft(Struct, frozen=True):
    """What an aircraft file's type needs of the model.

    Attributes:
        struts: the model's leg for each squat switch.
        legs: the model's leg for each leg that moves.
        engines: the model's engine for each engine.
        wheels: the side of each braked wheel; without any the autopilot's pedals brake.
        rpm_per_fps: speed of a wheel for each foot a second.
        steers: the panel steers; else the autopilot's pedals do.
    """

    struts: tuple[int, ...]
    legs: tuple[int, ...]
    engines: tuple[int, ...]
    wheels: tuple[str, ...]
    rpm_per_fps: float
    steers: bool

    @classmethod
    def of(cls, aircraft: AircraftParameters, engines: int) -> FlownAircraft:
        """That of an aircraft file; a leg that the model does not have follows ``left``."""
        brakes, antiskid = aircraft.brakes, aircraft.antiskid
        radius_m = (antiskid.wheel_radius_m if antiskid else None) or _WHEEL_RADIUS_M
        return cls(
            struts=tuple([leg_of(name) for name in aircraft.strut_names]),
            legs=tuple([leg_of(name) for name in aircraft.leg_names]),
            engines=tuple([min(engine, engines - 1) for engine in range(aircraft.engines)]),
            wheels=tuple([wheel.side for wheel in brakes.wheels]) if brakes else (),
            rpm_per_fps=60.0 * _FT_M / (2.0 * pi * radius_m),
            steers=aircraft.steering.steering_leg is not None,
        )


def leg_of(name: str) -> int:
    """The model's leg for one of this name; ``left`` for any other."""
    return _LEGS.index(name) if name in _LEGS else 1
