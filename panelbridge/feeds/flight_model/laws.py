"""The control laws of the autopilot: an angle or a speed is held by a surface or the throttles."""

from __future__ import annotations

from panelbridge.feeds.flight_model.motion import FlightControls, Motion

STEP_S = 0.02
"""Period of the autopilot, s."""
_ATTACK_S = 1.0
"""Time in which the angle of attack is averaged, s."""
_THROTTLE_PER_KT = 0.02


def limited(value: float, least: float, most: float) -> float:
    """``value``, not below ``least`` nor above ``most``."""
    return min(max(value, least), most)


class ControlLaws:
    """Holds paths, banks and speeds; has the memory of its integrals.

    Args:
        final_kias: airspeed for which the gains are made; surfaces do more at a higher one.
    """

    def __init__(self, final_kias: float) -> None:
        self._final_kias = final_kias
        self._trim = 0.0
        self._attack_deg: float | None = None
        self._throttle = 0.0
        self._held = (float("-inf"), 0.0)

    def hold_path(self, motion: Motion, controls: FlightControls, path_deg: float) -> None:
        """Fly at ``path_deg`` to the horizon."""
        attack_deg = motion.attack_deg if self._attack_deg is None else self._attack_deg
        attack_deg += (motion.attack_deg - attack_deg) * STEP_S / _ATTACK_S
        self._attack_deg = attack_deg
        self.hold_pitch(motion, controls, limited(path_deg + attack_deg, -12.0, 16.0))

    def hold_pitch(self, motion: Motion, controls: FlightControls, pitch_deg: float) -> None:
        """Keep the nose ``pitch_deg`` above the horizon."""
        gain = limited((self._final_kias / max(motion.kias, 1.0)) ** 2, 0.25, 1.5)
        wrong_deg = motion.pitch_deg - pitch_deg
        self._trim = limited(self._trim + 0.02 * wrong_deg * STEP_S, -0.6, 0.6)
        moved = gain * (0.06 * wrong_deg + 0.05 * motion.rates_deg_s[1]) + self._trim
        controls.elevator = limited(moved, -1.0, 1.0)

    def hold_bank(self, motion: Motion, controls: FlightControls, bank_deg: float) -> None:
        """Keep the right wing ``bank_deg`` down; the rudder damps the yaw."""
        gain = limited((self._final_kias / max(motion.kias, 1.0)) ** 2, 0.25, 1.5)
        moved = 0.03 * (bank_deg - motion.bank_deg) - 0.03 * motion.rates_deg_s[0]
        controls.aileron = limited(gain * moved, -1.0, 1.0)
        controls.rudder = limited(gain * 0.06 * motion.rates_deg_s[2], -0.5, 0.5)

    def hold_line(self, motion: Motion, controls: FlightControls, line_ft: float) -> None:
        """Fly along the line ``line_ft`` to the right of the centre line."""
        heading_deg = limited(0.02 * (line_ft - motion.aside_ft), -20.0, 20.0)
        bank_deg = limited(1.2 * (heading_deg - motion.heading_deg), -20.0, 20.0)
        self.hold_bank(motion, controls, bank_deg)

    def steer(self, motion: Motion, controls: FlightControls, line_ft: float) -> None:
        """Roll on the ground along the line ``line_ft`` to the right of the centre line."""
        slow = limited(14.0 / max(motion.ground_kt, 1.0), 0.05, 1.0)
        heading_deg = limited(0.5 * slow * (line_ft - motion.aside_ft), -25.0 * slow, 25.0 * slow)
        wrong_deg = heading_deg - motion.heading_deg
        turn = 0.05 * wrong_deg - 0.03 * motion.rates_deg_s[2]
        controls.steering_pedals = limited(turn, -1.0, 1.0)
        controls.rudder = limited(-turn, -1.0, 1.0)

    def hold_speed(self, motion: Motion, controls: FlightControls, kias: float) -> None:
        """Keep the airspeed with the throttles, from where they are."""
        wrong_kt = kias - motion.kias
        held_s, held_kias = self._held
        self._held = motion.time_s, motion.kias
        rate_kt_s = (motion.kias - held_kias) / STEP_S
        if motion.time_s - held_s > 1.5 * STEP_S:  # not held until now
            self._throttle, rate_kt_s = controls.throttle - _THROTTLE_PER_KT * wrong_kt, 0.0
        self._throttle = limited(self._throttle + 0.004 * wrong_kt * STEP_S, 0.1, 0.9)
        moved = self._throttle + _THROTTLE_PER_KT * wrong_kt - 0.05 * rate_kt_s
        controls.throttle = limited(moved, 0.0, 0.95)
