"""The built-in demonstration flight as a script: our own invention, with our own numbers.

Two lists: where the aircraft is (straight lines between key points) and what the pilot does with
the panel's switches. The flight shows each rule of the gear panel once: ground steering,
retraction, the throttle warning with silence and re-arming, extension, and a landing that touches
on one wheel first.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

LEGS = ("nose", "left", "right")


@dataclass(frozen=True, slots=True)
class KeyPoint:
    """The aircraft at one instant of the flight; between two points values run straight.

    Attributes:
        time_s: since the start of the flight.
        phase: what the flight does from here on.
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


@dataclass(frozen=True, slots=True)
class PilotAction:
    """What the pilot does.

    Attributes:
        time_s: since the start of the flight.
        switch: its name in the panel file.
        position: where it goes.
        why: for people, past tense.
    """

    time_s: float
    switch: str
    position: str
    why: str


KEY_POINTS = (
    KeyPoint(0.0, "parked", 0, 620, (0.05, 0.05), 0),
    KeyPoint(6.0, "taxi", 0, 620, (0.18, 0.18), 0),
    KeyPoint(9.0, "taxi", 14, 620, (0.12, 0.12), 12),
    KeyPoint(20.0, "taxi", 14, 620, (0.12, 0.12), 12),
    KeyPoint(22.0, "take-off roll", 6, 620, (0.95, 0.95), 12),
    KeyPoint(42.0, "take-off roll", 128, 620, (0.95, 0.95), 12),
    KeyPoint(44.0, "climb", 134, 640, (0.95, 0.95), 12),
    KeyPoint(58.0, "climb", 165, 1900, (0.88, 0.88), 12),
    KeyPoint(64.0, "climb", 190, 2600, (0.86, 0.86), 0),
    KeyPoint(80.0, "cruise", 228, 6400, (0.68, 0.68), 0),
    KeyPoint(94.0, "idle descent", 228, 6400, (0.68, 0.68), 0),
    KeyPoint(95.0, "idle descent", 227, 6350, (0.08, 0.66), 0),
    KeyPoint(106.0, "idle descent", 214, 5200, (0.08, 0.62), 0),
    KeyPoint(107.0, "idle descent", 212, 5100, (0.08, 0.08), 0),
    KeyPoint(118.0, "idle descent", 176, 3300, (0.08, 0.08), 4),
    KeyPoint(119.0, "approach", 172, 3200, (0.58, 0.58), 8),
    KeyPoint(124.0, "approach", 160, 2800, (0.58, 0.58), 16),
    KeyPoint(138.0, "approach", 142, 1900, (0.52, 0.52), 16),
    KeyPoint(144.0, "final approach", 132, 1500, (0.48, 0.48), 33),
    KeyPoint(162.0, "landing", 118, 640, (0.22, 0.22), 33),
    KeyPoint(165.0, "landing", 112, 620, (0.04, 0.04), 33),
    KeyPoint(167.0, "roll-out", 100, 620, (0.04, 0.04), 33),
    KeyPoint(184.0, "roll-out", 12, 620, (0.04, 0.04), 33),
    KeyPoint(188.0, "parked", 0, 620, (0.04, 0.04), 0),
    KeyPoint(192.0, "parked", 0, 620, (0.04, 0.04), 0),
)
DURATION_S = KEY_POINTS[-1].time_s

# When each strut takes or loses the aircraft's weight, seconds: nose first at lift-off, last at
# touchdown, and the left main wheel 0.4 s before the right one.
STRUT_CHANGES: dict[str, tuple[tuple[float, bool], ...]] = {
    "nose": ((0.0, True), (42.0, False), (166.6, True)),
    "left": ((0.0, True), (43.4, False), (164.2, True)),
    "right": ((0.0, True), (43.4, False), (164.6, True)),
}

PILOT_ACTIONS = (
    PilotAction(2.0, "lamp_test", "pressed", "tested the lamps"),
    PilotAction(4.0, "lamp_test", "released", "ended the lamp test"),
    PilotAction(9.0, "steering_button", "pressed", "steered on the taxiway"),
    PilotAction(19.0, "steering_button", "released", "lined up"),
    PilotAction(47.0, "gear_handle", "up", "raised the gear"),
    PilotAction(99.0, "horn_silence", "pressed", "silenced the horn"),
    PilotAction(99.4, "horn_silence", "released", "let go of the silence button"),
    PilotAction(112.0, "horn_silence", "pressed", "silenced the horn again"),
    PilotAction(112.4, "horn_silence", "released", "let go of the silence button"),
    PilotAction(124.0, "gear_handle", "down", "lowered the gear"),
    PilotAction(170.0, "steering_button", "pressed", "steered in the roll-out"),
    PilotAction(183.0, "steering_button", "released", "let go of the steering button"),
)

_TIMES = [point.time_s for point in KEY_POINTS]
_PRESSURE_PSI = 2850.0


@dataclass(frozen=True, slots=True)
class FlightValues:
    """The aircraft at one instant, as the script has it; units as in ``AircraftState``."""

    phase: str
    airspeed_kias: float
    altitude_ft: float
    ground_speed_kt: float
    throttles: tuple[float, float]
    flap_deg: float
    compressed: tuple[bool, ...]
    hydraulic_pressure_psi: float


def values_at(time_s: float) -> FlightValues:
    """The aircraft ``time_s`` seconds into the flight; before and after it stands at its ends."""
    time_s = min(max(time_s, 0.0), DURATION_S)
    after = min(max(bisect_right(_TIMES, time_s), 1), len(KEY_POINTS) - 1)
    a, b = KEY_POINTS[after - 1], KEY_POINTS[after]
    part = min((time_s - a.time_s) / (b.time_s - a.time_s), 1.0)

    def between(low: float, high: float) -> float:
        return low + (high - low) * part

    speed = between(a.airspeed_kias, b.airspeed_kias)
    compressed = tuple(strut_at(leg, time_s) for leg in LEGS)
    return FlightValues(
        phase=a.phase,
        airspeed_kias=speed,
        altitude_ft=between(a.altitude_ft, b.altitude_ft),
        ground_speed_kt=speed,
        throttles=(
            between(a.throttles[0], b.throttles[0]),
            between(a.throttles[1], b.throttles[1]),
        ),
        flap_deg=between(a.flap_deg, b.flap_deg),
        compressed=compressed,
        # The pumps run up in the first four seconds.
        hydraulic_pressure_psi=_PRESSURE_PSI * min(time_s / 4.0, 1.0),
    )


def strut_at(leg: str, time_s: float) -> bool:
    """Whether the strut of ``leg`` carries weight ``time_s`` seconds into the flight."""
    state = True
    for change_s, compressed in STRUT_CHANGES[leg]:
        if change_s <= time_s:
            state = compressed
    return state
