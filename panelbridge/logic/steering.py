"""Nose-wheel steering: engaged only while the button is held, on the ground, with the leg locked.

Sources: US Navy NAVEDTRA 14018 fig. 12-15 (steers only with weight on wheels and the switch held);
US Army TM 1-1510-224-10 (centred when the nose leg is not down). Press and hold is common practice,
no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.happenings import HappeningLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule


class SteeringParameters(Parameters):
    """Nose-wheel steering."""

    steering_leg: str | None = "nose"
    """Name of the leg that is steered; null for an aircraft without steering."""


@dataclass(frozen=True, slots=True)
class SteeringConditions:
    """All that decides the steering.

    Attributes:
        held: the button is known to be held.
        pressed_anew: it was let go since it was found held, or never was found so.
        has_weight: the steered leg's strut is known to carry weight.
        leg_down: the steered leg is known to be locked down.
    """

    held: bool
    pressed_anew: bool
    has_weight: bool
    leg_down: bool


STEERS = Rule(
    "steering button held on the ground with the leg locked down",
    (("held", True), ("pressed_anew", True), ("has_weight", True), ("leg_down", True)),
    "engages the steering",
)


class SteeringChart(Chart):
    """Steering."""

    steer_off = State(initial=True)
    steer_engaged = State()

    engage = steer_off.to(steer_engaged)
    release = steer_engaged.to(steer_off)


class Steering:
    """Steering of one leg.

    Args:
        log: takes its happenings.
    """

    def __init__(self, log: HappeningLog) -> None:
        self._log = log
        self._chart = SteeringChart()
        self._may_press = False
        self.conditions = SteeringConditions(
            held=False, pressed_anew=False, has_weight=False, leg_down=False
        )
        """What decided last."""

    @property
    def is_engaged(self) -> bool:
        """Steering is engaged."""
        return self._chart.state_id == "steer_engaged"

    def update(
        self, now_s: float, *, button: bool | None, compressed: bool | None, leg_down: bool
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            button: held; None when unknown. One that is found held counts once it was let go.
            compressed: the steered leg's strut carries weight; None when unknown.
            leg_down: the steered leg is known to be locked down.
        """
        if button is not True:
            self._may_press = button is False
        self.conditions = SteeringConditions(
            held=button is True,
            pressed_anew=self._may_press,
            has_weight=compressed is True,
            leg_down=leg_down,
        )
        wanted = STEERS.holds(self.conditions)
        if wanted == self.is_engaged:
            return
        self._chart.send_event("engage" if wanted else "release")
        self._log.note(now_s, "steering_engaged" if wanted else "steering_released")
