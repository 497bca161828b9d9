"""The aircraft of the flight model, each with the numbers that its autopilot flies by."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.config.feed_file import ModelName


class FlightNumbers(Struct, frozen=True):
    """What the autopilot has to know of an aircraft.

    Attributes:
        engines: number of engines.
        thrust_lbf: rated thrust of each.
        wheel_height_ft: centre of gravity above the ground when parked.
        steering_deg: nose wheel at full travel.
        rotate_kias: airspeed for rotation.
        climb_kias: airspeed of the climb.
        cruise_kias: airspeed of level flight.
        cruise_ft: height of level flight above the ground.
        descent_kias: airspeed of the descent at idle.
        approach_kias: airspeed of level flight before the final approach.
        approach_ft: its height above the ground.
        final_kias: airspeed of the final approach.
        flare_ft: height of the wheels above the ground where the flare begins.
        takeoff_flap_fraction: flaps for take-off, 1 is fully out.
        approach_flap_fraction: flaps for the approach.
    """

    engines: int
    thrust_lbf: float
    wheel_height_ft: float
    steering_deg: float
    rotate_kias: float
    climb_kias: float
    cruise_kias: float
    cruise_ft: float
    descent_kias: float
    approach_kias: float
    approach_ft: float
    final_kias: float
    flare_ft: float
    takeoff_flap_fraction: float
    approach_flap_fraction: float


NUMBERS: Mapping[ModelName, FlightNumbers] = {
    "light_twin_jet": FlightNumbers(
        engines=2,
        thrust_lbf=2900,
        wheel_height_ft=4.15,
        steering_deg=55,
        rotate_kias=108,
        climb_kias=175,
        cruise_kias=210,
        cruise_ft=2600,
        descent_kias=185,
        approach_kias=150,
        approach_ft=900,
        final_kias=110,
        flare_ft=28,
        takeoff_flap_fraction=0.34,
        approach_flap_fraction=0.45,
    ),
    "heavy_freighter": FlightNumbers(
        engines=4,
        thrust_lbf=11_000,
        wheel_height_ft=9.65,
        steering_deg=60,
        rotate_kias=138,
        climb_kias=195,
        cruise_kias=215,
        cruise_ft=2800,
        descent_kias=195,
        approach_kias=175,
        approach_ft=900,
        final_kias=142,
        flare_ft=45,
        takeoff_flap_fraction=0.35,
        approach_flap_fraction=0.45,
    ),
}
"""By the name of its folder under ``models/aircraft``: types of our own invention."""
