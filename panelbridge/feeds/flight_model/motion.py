"""What passes between the flight model and its autopilot: how it moves, what is moved."""

from __future__ import annotations

from msgspec import Struct


class Motion(Struct, frozen=True):
    """How the aircraft moves at one instant. It took off to the north.

    Attributes:
        time_s: since the start of the flight.
        ahead_ft: way from the start to the north.
        aside_ft: to the right of the runway's centre line.
        wheels_ft: height of the wheels above the ground, gear down.
        kias: calibrated airspeed, kt.
        ground_kt: speed over the ground.
        heading_deg: nose, -180 to 180, 0 is north.
        pitch_deg: nose above the horizon.
        bank_deg: right wing down.
        path_deg: path above the horizon.
        attack_deg: angle of attack.
        rates_deg_s: roll, pitch and yaw.
        on_ground: weight on each leg: nose, left, right.
        legs: where each leg is: 0 up, 1 down.
    """

    time_s: float
    ahead_ft: float
    aside_ft: float
    wheels_ft: float
    kias: float
    ground_kt: float
    heading_deg: float
    pitch_deg: float
    bank_deg: float
    path_deg: float
    attack_deg: float
    rates_deg_s: tuple[float, float, float]
    on_ground: tuple[bool, bool, bool]
    legs: tuple[float, float, float]


class FlightControls(Struct):
    """What the autopilot moves.

    Attributes:
        throttle: all levers, 0 to 1.
        elevator: -1 (nose up) to 1.
        aileron: -1 (to the left) to 1.
        rudder: -1 (nose to the right) to 1.
        flaps: 0 to 1.
        speed_brake: 0 to 1.
        brake_pedals: both, 0 to 1.
        steering_pedals: -1 (left) to 1.
        engines: they run.
    """

    throttle: float = 0.0
    elevator: float = 0.0
    aileron: float = 0.0
    rudder: float = 0.0
    flaps: float = 0.0
    speed_brake: float = 0.0
    brake_pedals: float = 0.0
    steering_pedals: float = 0.0
    engines: bool = False
