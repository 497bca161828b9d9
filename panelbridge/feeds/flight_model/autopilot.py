"""A simple autopilot: one flight from the stand to a stop, phase by phase.

It waits where the aircraft waits: it taxies when the brakes let it, and stays level before the
final approach until the legs are down. The gear itself is the panel's affair.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from panelbridge.feeds.flight_model.laws import ControlLaws, limited
from panelbridge.feeds.flight_model.motion import FlightControls, Motion
from panelbridge.feeds.flight_model.numbers import FlightNumbers

START_ASIDE_FT = -70.0
"""Where the flight begins, beside the runway's centre line: there is something to steer."""
PARKED_S = 20.0
"""Time on the stand before the taxi; the engines start meanwhile."""
ENGINES_S = 11.0
"""When they start, s."""
TAXI_KT = 14.0
"""Speed of the taxi, kt."""
TAXI_FT = 700.0
"""Its length."""
CRUISE_S = 12.0
"""Time in level flight, s."""
SETTLED_S = 15.0
"""Time with the gear down before the final approach: the legs of the panel may take longer, s."""
LEAVE_S = 8.0
"""Time on the stand after the landing until the flight has ended, s."""


class Autopilot:
    """Flies; ``phase`` is where it is.

    Args:
        numbers: the aircraft.
    """

    def __init__(self, numbers: FlightNumbers) -> None:
        self._numbers = numbers
        self._laws = ControlLaws(numbers.final_kias)
        self._controls = FlightControls()
        self._line_ft = 0.0
        self._flare_deg = self._down_s = 0.0
        self.phase = "parked"
        self.phase_began_s = 0.0
        self.finished = False
        self._phases: dict[str, Callable[[Motion, FlightControls, float], str]] = {
            "parked": self._parked,
            "taxi": self._taxi,
            "line-up": self._line_up,
            "take-off roll": self._takeoff_roll,
            "climb": self._climb,
            "cruise": self._cruise,
            "idle descent": self._idle_descent,
            "approach": self._approach,
            "final approach": self._final_approach,
            "landing": self._landing,
            "roll-out": self._roll_out,
            "parked again": self._parked_again,
        }

    @property
    def phases(self) -> tuple[str, ...]:
        """Every phase, in order."""
        return tuple(self._phases)

    def fly(self, motion: Motion) -> FlightControls:
        """The controls for the next period."""
        self._controls = replace(self._controls)
        after = self._phases[self.phase](motion, self._controls, motion.time_s - self.phase_began_s)
        if after:
            self.phase, self.phase_began_s = after, motion.time_s
        return self._controls

    def _parked(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.engines = since_s >= ENGINES_S
        controls.brake_pedals = 0.3 if ENGINES_S - 1.0 <= since_s < PARKED_S - 0.5 else 0.0
        return "taxi" if since_s >= PARKED_S else ""

    def _taxi(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.throttle = limited(0.14 + 0.03 * (TAXI_KT - motion.ground_kt), 0.0, 0.35)
        controls.brake_pedals = limited(0.1 * (motion.ground_kt - TAXI_KT - 2.0), 0.0, 0.5)
        self._laws.steer(motion, controls, 0.0)
        controls.flaps = self._numbers.takeoff_flap_fraction
        return "line-up" if motion.ahead_ft >= TAXI_FT else ""

    def _line_up(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.throttle, controls.brake_pedals = 0.0, 0.5
        self._laws.steer(motion, controls, 0.0)
        if motion.ground_kt > 1.0 or since_s < 6.0:
            return ""
        self._line_ft = motion.aside_ft  # nobody has steered: take off from where it stands
        controls.brake_pedals = 0.0
        return "take-off roll"

    def _takeoff_roll(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.throttle = limited(0.3 * since_s, 0.0, 0.95)
        self._laws.steer(motion, controls, self._line_ft)
        if motion.kias >= self._numbers.rotate_kias:
            self._laws.hold_pitch(motion, controls, 9.0)
        return "climb" if motion.wheels_ft > 15.0 else ""

    def _climb(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        numbers = self._numbers
        controls.throttle = 0.9
        # Slow until the legs are up: they have a speed limit.
        kias = numbers.climb_kias if max(motion.legs) <= 0.0 else numbers.rotate_kias + 20.0
        path_deg = limited(7.0 + 0.25 * (motion.kias - kias), 2.0, 12.0)
        self._laws.hold_path(motion, controls, path_deg)
        self._laws.hold_line(motion, controls, self._line_ft)
        if motion.wheels_ft > 600.0:
            controls.flaps = 0.0
        return "cruise" if motion.wheels_ft > numbers.cruise_ft - 250.0 else ""

    def _cruise(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        self._level(motion, controls, self._numbers.cruise_ft, self._numbers.cruise_kias)
        return "idle descent" if since_s >= CRUISE_S else ""

    def _idle_descent(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        numbers = self._numbers
        controls.throttle = limited(controls.throttle - 0.004, 0.05, 1.0)
        path_deg = limited(-4.5 + 0.3 * (motion.kias - numbers.descent_kias), -7.0, -2.0)
        self._laws.hold_path(motion, controls, path_deg)
        self._laws.hold_line(motion, controls, self._line_ft)
        return "approach" if motion.wheels_ft < numbers.approach_ft + 150.0 else ""

    def _approach(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        numbers = self._numbers
        self._level(motion, controls, numbers.approach_ft, numbers.approach_kias)
        if motion.kias < numbers.approach_kias + 15.0:
            controls.flaps = numbers.approach_flap_fraction
        if min(motion.legs) < 1.0:
            self._down_s = motion.time_s + SETTLED_S
        is_ready = motion.time_s >= self._down_s and abs(motion.kias - numbers.approach_kias) < 8.0
        return "final approach" if is_ready else ""

    def _final_approach(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        numbers = self._numbers
        controls.flaps = 1.0
        self._laws.hold_speed(motion, controls, numbers.final_kias)
        self._laws.hold_path(motion, controls, -3.2)
        self._laws.hold_line(motion, controls, self._line_ft)
        self._flare_deg = motion.pitch_deg
        return "landing" if motion.wheels_ft < numbers.flare_ft else ""

    def _landing(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        part = limited(motion.wheels_ft / self._numbers.flare_ft, 0.0, 1.0)
        controls.throttle = limited(controls.throttle - 0.006, 0.0, 1.0)
        self._laws.hold_pitch(motion, controls, self._flare_deg + 6.0 * (1.0 - part))
        self._laws.hold_bank(motion, controls, 4.0)  # one main wheel touches first
        return "roll-out" if motion.on_ground[1] and motion.on_ground[2] else ""

    def _roll_out(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.throttle = 0.0
        if motion.on_ground[0]:
            controls.elevator = 0.0
        else:
            self._laws.hold_pitch(motion, controls, limited(3.0 - 1.5 * since_s, -3.0, 3.0))
        self._laws.hold_bank(motion, controls, 0.0)
        self._laws.steer(motion, controls, self._line_ft)
        controls.speed_brake = 1.0 if motion.ground_kt > 25.0 else 0.0
        controls.brake_pedals = 0.5 if since_s > 2.0 else 0.0
        return "parked again" if motion.ground_kt < 0.5 else ""

    def _parked_again(self, motion: Motion, controls: FlightControls, since_s: float) -> str:
        controls.brake_pedals = 0.3 if since_s < LEAVE_S - 2.0 else 0.0
        controls.flaps = controls.speed_brake = controls.steering_pedals = controls.rudder = 0.0
        controls.engines = since_s < LEAVE_S - 4.0
        self.finished = since_s >= LEAVE_S
        return ""

    def _level(
        self, motion: Motion, controls: FlightControls, height_ft: float, kias: float
    ) -> None:
        self._laws.hold_speed(motion, controls, kias)
        path_deg = limited(0.015 * (height_ft - motion.wheels_ft), -4.0, 4.0)
        self._laws.hold_path(motion, controls, path_deg)
        self._laws.hold_line(motion, controls, self._line_ft)
