"""The script of the built-in demonstration flight. All its numbers are invented.

It lists the aircraft's key points (with straight lines in between), what its engines, struts,
wheels and pedals do, and the pilot's actions on the panel. The flight shows each system once:
pressure from the auxiliary pump and from the engines, parking brake, anti-skid with its self-test,
ground steering, retraction, the throttle warning with its airspeed gate, silence and re-arming, a
gear lowered too fast, brakes pumped free of ice, and a landing that touches on one wheel first,
with the brakes pressed too early and a wheel that locks.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

LEGS = ("nose", "left", "right")
Side = Literal["left", "right"]


class KeyPoint(Struct, frozen=True):
    """The aircraft at one instant; between two points all values are interpolated.

    Attributes:
        time_s: since the start of the flight.
        phase: phase of the flight from here on.
        airspeed_kias: indicated airspeed.
        altitude_ft: pressure altitude.
        throttles: left and right lever, 0 to 1.
        flap_deg: flap angle.
    """

    time_s: float
    phase: str
    airspeed_kias: float
    altitude_ft: float
    throttles: tuple[float, float]
    flap_deg: float


class PilotAction(Struct, frozen=True):
    """One movement of a switch by the pilot.

    Attributes:
        time_s: since the start of the flight.
        switch: its name in the panel file.
        position: its new position; of a lever 0 to 1.
        why: for the reader, past tense.
    """

    time_s: float
    switch: str
    position: str | float
    why: str


KEY_POINTS = (
    KeyPoint(0.0, "parked", 0, 620, (0.05, 0.05), 0),
    KeyPoint(20.0, "taxi", 0, 620, (0.18, 0.18), 0),
    KeyPoint(23.0, "taxi", 14, 620, (0.12, 0.12), 0),
    KeyPoint(27.0, "taxi", 14, 620, (0.12, 0.12), 12),
    KeyPoint(31.0, "taxi", 14, 620, (0.12, 0.12), 12),
    KeyPoint(33.0, "take-off roll", 6, 620, (0.95, 0.95), 12),
    KeyPoint(53.0, "take-off roll", 128, 620, (0.95, 0.95), 12),
    KeyPoint(55.0, "climb", 134, 640, (0.95, 0.95), 12),
    KeyPoint(69.0, "climb", 165, 1900, (0.88, 0.88), 12),
    KeyPoint(75.0, "climb", 190, 2600, (0.86, 0.86), 0),
    KeyPoint(89.0, "cruise", 228, 6400, (0.68, 0.68), 0),
    KeyPoint(95.0, "idle descent", 228, 6400, (0.68, 0.68), 0),
    KeyPoint(96.0, "idle descent", 227, 6350, (0.08, 0.66), 0),
    KeyPoint(106.0, "idle descent", 207, 5200, (0.08, 0.62), 0),
    KeyPoint(112.0, "idle descent", 198, 4700, (0.08, 0.62), 0),
    KeyPoint(113.0, "idle descent", 197, 4600, (0.08, 0.08), 0),
    KeyPoint(119.0, "idle descent", 194, 4000, (0.08, 0.08), 4),
    KeyPoint(120.0, "approach", 194, 3900, (0.58, 0.58), 8),
    KeyPoint(124.0, "approach", 191, 3600, (0.58, 0.58), 12),
    KeyPoint(129.0, "approach", 172, 3200, (0.5, 0.5), 16),
    KeyPoint(142.0, "approach", 142, 1900, (0.52, 0.52), 16),
    KeyPoint(148.0, "final approach", 132, 1500, (0.48, 0.48), 33),
    KeyPoint(166.0, "landing", 118, 640, (0.22, 0.22), 33),
    KeyPoint(169.0, "landing", 112, 620, (0.04, 0.04), 33),
    KeyPoint(171.0, "roll-out", 102, 620, (0.04, 0.04), 33),
    KeyPoint(188.0, "roll-out", 12, 620, (0.04, 0.04), 33),
    KeyPoint(192.0, "parked", 0, 620, (0.04, 0.04), 0),
    KeyPoint(199.0, "parked", 0, 620, (0.04, 0.04), 0),
)
DURATION_S = KEY_POINTS[-1].time_s
PHASES = tuple(
    (point.time_s, point.phase)
    for before, point in zip((None, *KEY_POINTS), KEY_POINTS, strict=False)
    if before is None or point.phase != before.phase
)
"""When each phase begins, seconds, and its name."""

ENGINE_CHANGES: tuple[tuple[tuple[float, bool], ...], ...] = (
    ((0.0, False), (11.0, True), (196.0, False)),
    ((0.0, False), (13.0, True), (196.5, False)),
)
"""When each engine starts to run, and stops, seconds."""

# When each strut takes or loses the aircraft's weight, s: the nose first at lift-off and last at
# touchdown, the left main wheels 0.4 s before the right ones.
STRUT_CHANGES: dict[str, tuple[tuple[float, bool], ...]] = {
    "nose": ((0.0, True), (53.0, False), (170.6, True)),
    "left": ((0.0, True), (54.4, False), (168.2, True)),
    "right": ((0.0, True), (54.4, False), (168.6, True)),
}

PEDAL_POINTS = (
    (0.0, 0.0),
    # The brakes are pumped free of ice.
    *((137.0, 0.0), (137.4, 0.8), (138.2, 0.8), (138.6, 0.0)),
    *((139.6, 0.0), (140.0, 0.8), (140.8, 0.8), (141.2, 0.0)),
    *((142.2, 0.0), (142.6, 0.8), (143.4, 0.8), (143.8, 0.0)),
    # The pilot stands on the brakes before the wheels touch, and until the aircraft is slow.
    *((166.5, 0.0), (167.5, 0.6), (187.0, 0.6), (188.5, 0.2), (191.5, 0.3), (194.5, 0.0)),
)
"""Both brake pedals: seconds, and 0 to 1."""

STEERING_POINTS = (
    (0.0, 0.0),
    *((23.0, 0.0), (24.0, 0.6), (25.5, 0.6), (27.5, -0.5), (29.0, -0.5), (30.0, 0.0)),
    *((179.0, 0.0), (181.0, -0.3), (185.0, -0.3), (187.0, 0.0)),
)
"""The steering pedals: seconds, and -1 (full left) to 1 (full right)."""

SPEED_BRAKE_POINTS = ((0.0, 0.0), (171.0, 0.0), (172.0, 1.0), (188.0, 1.0), (189.0, 0.0))
"""The speed brakes: seconds, and 0 (stowed) to 1 (fully out)."""
TRIM_UNITS = 1.5
"""Longitudinal trim, as its indicator shows it."""
WHEEL_RPM_PER_KT = 17.0
"""Wheel speed on the ground, rpm for each knot."""
SPIN_UP_S = 0.5
"""Time from touchdown until a wheel has spun up, s."""
SPIN_DOWN_S = 3.0
"""Time from lift-off until a wheel stands still, s."""
LOCKED_WHEEL: tuple[Side, float, float] = ("left", 175.0, 175.6)
"""Side, start and end of a wheel locking in the roll-out: the second one of that side."""

PILOT_ACTIONS = (
    PilotAction(1.0, "lamp_test", "pressed", "tested the lamps"),
    PilotAction(2.5, "lamp_test", "released", "ended the lamp test"),
    PilotAction(3.5, "aux_pump", "on", "switched the auxiliary pump on"),
    PilotAction(10.0, "parking_brake", 1.0, "set the parking brake"),
    PilotAction(15.0, "aux_pump", "off", "switched the auxiliary pump off"),
    PilotAction(15.5, "antiskid", "on", "switched anti-skid on"),
    PilotAction(19.0, "parking_brake", 0.0, "released the parking brake"),
    PilotAction(21.5, "steering_button", "pressed", "steered on the taxiway"),
    PilotAction(24.0, "tiller", 0.8, "turned right"),
    PilotAction(26.5, "tiller", 0.25, "turned left"),
    PilotAction(29.5, "tiller", 0.5, "put the nose wheel straight"),
    PilotAction(31.0, "steering_button", "released", "lined up"),
    PilotAction(58.0, "gear_handle", "up", "raised the gear"),
    PilotAction(91.0, "cold_weather", "on", "heard of slush on the runway"),
    PilotAction(110.0, "horn_silence", "pressed", "silenced the horn"),
    PilotAction(110.4, "horn_silence", "released", "let go of the silence button"),
    PilotAction(116.0, "lever_horn_silence", "pressed", "silenced the horn at the throttle"),
    PilotAction(116.4, "lever_horn_silence", "released", "let go of the button at the throttle"),
    PilotAction(121.5, "gear_handle", "down", "lowered the gear, too fast"),
    PilotAction(135.0, "antiskid", "off", "switched anti-skid off to pump the brakes"),
    PilotAction(146.0, "antiskid", "on", "switched anti-skid on again"),
    PilotAction(178.0, "steering_button", "pressed", "steered in the roll-out"),
    PilotAction(181.0, "tiller", 0.35, "turned left"),
    PilotAction(186.0, "tiller", 0.5, "put the nose wheel straight"),
    PilotAction(188.0, "steering_button", "released", "let go of the steering button"),
    PilotAction(193.0, "parking_brake", 1.0, "set the parking brake"),
    PilotAction(194.5, "antiskid", "off", "switched anti-skid off"),
    PilotAction(195.0, "cold_weather", "off", "switched the cold-weather routine off"),
    PilotAction(198.0, "parking_brake", 0.0, "released the parking brake: the chocks are in place"),
)
