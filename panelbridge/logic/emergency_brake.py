"""The emergency brake: air of a bottle on both sides alike."""

from __future__ import annotations

from math import isnan

from panelbridge.logic.brake_steps import StepsOfTravel
from panelbridge.logic.events import EventLog
from panelbridge.logic.parking_brake import BRAKE_STEPS
from panelbridge.logic.pressed_anew import PressedAnew


class EmergencyBrake:
    """The emergency brake.

    Args:
        free_fraction: travel of its lever that does nothing.
        full_fraction: travel from which on the brake is full.
        log: takes its events.
    """

    def __init__(self, free_fraction: float, full_fraction: float, log: EventLog) -> None:
        self._lever = StepsOfTravel(free_fraction, full_fraction)
        self._pulled = PressedAnew()
        self._log = log
        self._used_steps = 0
        self.steps = 0
        """What presses on both sides, 0 to ``BRAKE_STEPS``."""

    def update(self, now_s: float, lever: float | None, *, has_air: bool) -> None:
        """Follow the lever; what it rises by takes air. One that is found pulled does nothing."""
        self._lever.take(lever)
        known = lever is not None and not isnan(lever)
        self._pulled.take(self._lever.steps > 0 if known else None)
        wanted = self._lever.steps if self._pulled.holds else 0
        before = self.steps
        if wanted < before:
            self.steps = wanted
        elif wanted > before and has_air:
            self._used_steps += wanted - before
            self.steps = wanted
        braking = self.steps > 0
        if braking is not (before > 0):
            self._log.note(
                now_s, "emergency_brake_pulled" if braking else "emergency_brake_released"
            )

    def take_air_used(self) -> float:
        """Air that was used since this was last asked, in full applications."""
        used, self._used_steps = self._used_steps / BRAKE_STEPS, 0
        return used
