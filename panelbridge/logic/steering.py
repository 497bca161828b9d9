"""Nose-wheel steering: only while a button is held, on the ground, with the leg locked down.

Sources: US Navy NAVEDTRA 14018 fig. 12-15 (steers only with weight on wheels and the switch held,
by as much as the pedals ask, and is centred otherwise); US Army TM 1-1510-224-10 (centred when the
nose leg is not down); US Army TM 1-1510-253-CL (not to be armed after an emergency extension).
Press and hold, and an angle that falls with the speed, are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import copysign, isnan
from typing import Annotated

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.pressed_anew import PressedAnew
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.steering_schedule import (
    PedalShaping,
    Schedule,
    SchedulePoint,
    schedule_mistake,
)
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import Reason, Value

STEP_DEG = 0.5
"""Steps of the angle that is asked of the nose wheel, degrees."""

_POINTS = [
    SchedulePoint(speed_kt=10.0, angle_deg=60.0),
    SchedulePoint(speed_kt=30.0, angle_deg=25.0),
    SchedulePoint(speed_kt=90.0, angle_deg=5.0),
]


class SteeringParameters(Parameters):
    """Nose-wheel steering."""

    steering_leg: str | None = "nose"
    """Name of the leg that is steered; null for an aircraft without steering."""
    schedule: Annotated[list[SchedulePoint], Field(min_length=1, max_length=20)] = _POINTS
    """Greatest angle at each speed, slowest first; straight lines between, and the ends beyond."""
    needs_hydraulics: bool = False
    """It works only while its hydraulic supply has pressure."""
    needs_bus: bool = False
    """It works only while the electrical bus has power."""

    @field_validator("schedule")
    @classmethod
    def _never_grows(cls, points: list[SchedulePoint]) -> list[SchedulePoint]:
        if mistake := schedule_mistake(points):
            raise PydanticCustomError("schedule", "{mistake}", {"mistake": mistake})
        return points


@dataclass(frozen=True, slots=True)
class SteeringConditions:
    """All that decides the steering.

    Attributes:
        held: a button is known to be held.
        pressed_anew: it was let go since it was found held or refused, or never was so.
        has_weight: the steered leg's strut is known to carry weight.
        leg_down: the steered leg is known to be locked down.
        available: no emergency extension keeps it from working.
        powered: it has the pressure and the electrical power that it needs.
    """

    held: bool
    pressed_anew: bool
    has_weight: bool
    leg_down: bool
    available: bool = True
    powered: bool = True


ENGAGED = Rule(
    "steering button held on the ground with the leg locked down",
    (
        ("held", True),
        ("pressed_anew", True),
        ("has_weight", True),
        ("leg_down", True),
        ("available", True),
        ("powered", True),
    ),
    "engages the steering",
)
_REFUSED = Rule(
    "steering button held after an emergency extension",
    (("held", True), ("available", False)),
    "refused, US Army TM 1-1510-253-CL",
)
_UNPOWERED = Rule("steering button held without power", (("held", True), ("powered", False)))
_LAMPS: Mapping[str, tuple[Rule, ...]] = {
    "steering_green": (ENGAGED,),
    "steering_unavailable_amber": (_REFUSED, _UNPOWERED),
}


class SteeringChart(Chart):
    """Steering."""

    steer_off = State(initial=True)
    steer_engaged = State()

    engage = steer_off.to(steer_engaged)
    release = steer_engaged.to(steer_off)


class Steering(System):
    """Steering of one leg.

    Args:
        log: takes its events.
        parameters: its numbers.
        shaping: of the panel's pedals or tiller.
        always_available: the aircraft has nothing that could take the steering away: no emergency
            extension, and it needs no power.
    """

    timer_prefix = "steering"
    lamp_rules: Mapping[str, tuple[Rule, ...]] = _LAMPS
    published = (
        ValueInfo("steering_deg", "number", "nose wheel", "degrees", (), -90.0, 90.0),
        ValueInfo("steering_limit_deg", "number", "steering limit", "degrees", (), 0.0, 90.0),
    )
    conditions: SteeringConditions

    def __init__(
        self,
        log: EventLog,
        *,
        parameters: SteeringParameters | None = None,
        shaping: PedalShaping | None = None,
        always_available: bool = False,
    ) -> None:
        if always_available:
            self.lamp_rules = {"steering_green": (ENGAGED,)}
        self._parameters = parameters or SteeringParameters()
        self._shaping = shaping or PedalShaping()
        self._log = log
        self._chart = SteeringChart()
        self._schedule = Schedule(self._parameters.schedule)
        self._buttons = (PressedAnew(), PressedAnew())
        self._told: object = (None, None)
        self._asked = 0.0
        self._speed_kt: float | None = None
        self.steering_deg = 0.0
        """Angle that is asked of the nose wheel, degrees, right positive, in steps of
        ``STEP_DEG``; exactly 0 while it is not engaged."""
        self.conditions = SteeringConditions(
            held=False, pressed_anew=False, has_weight=False, leg_down=False
        )
        """What decided last."""

    @property
    def is_engaged(self) -> bool:
        """Steering is engaged."""
        return self._chart.state_id == "steer_engaged"

    @property
    def limit_deg(self) -> float:
        """Greatest angle to either side at the present speed, degrees."""
        return self._schedule.angle_deg(self._speed_kt)

    def take_pedals(self, pedals: float | None, tiller: float | None = None) -> bool:
        """Take what asks for an angle; True when the angle has changed.

        Args:
            pedals: of the feed, -1 (full left) to 1 (full right); None when unknown.
            tiller: of the panel, 0 (full left) to 1 (full right); it counts as soon as it is known.
        """
        told_now = (pedals, tiller)
        if told_now == self._told:
            return False
        self._told = told_now
        if tiller is not None and not isnan(tiller):
            pedals = 2.0 * tiller - 1.0
        unknown = pedals is None or isnan(pedals)
        self._asked = 0.0 if unknown else self._shaping.shape(pedals or 0.0)
        return self._turn()

    def take_speed(self, ground_speed_kt: float | None, airspeed_kias: float | None = None) -> bool:
        """Take the speed, over the ground or else of the air; True when the angle has changed."""
        if ground_speed_kt is None or isnan(ground_speed_kt):
            ground_speed_kt = airspeed_kias
        self._speed_kt = ground_speed_kt
        return self.is_engaged and self._turn()

    def update(
        self,
        now_s: float,
        *,
        button: bool | None,
        compressed: bool | None,
        leg_down: bool,
        second_button: bool | None = None,
        available: bool = True,
        has_pressure: bool = True,
        bus_powered: bool | None = None,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            button: held; None when unknown. One that is found held counts once it was let go.
            compressed: the steered leg's strut carries weight; None when unknown.
            leg_down: the steered leg is known to be locked down.
            second_button: the other button, by the same rule.
            available: there was no emergency extension, or it was reset.
            has_pressure: its hydraulic supply has pressure.
            bus_powered: the electrical bus has power; unknown counts as powered.
        """
        parameters, buttons = self._parameters, self._buttons
        pressed = [one.take(on) for one, on in zip(buttons, (button, second_button), strict=True)]
        if not available:
            for one in buttons:
                one.spend()
            if any(pressed):
                self._log.note(now_s, "steering_refused")
        held = button is True or second_button is True
        self.conditions = SteeringConditions(
            held=held,
            pressed_anew=any(one.holds if held else one.may for one in buttons),
            has_weight=compressed is True,
            leg_down=leg_down,
            available=available,
            powered=(has_pressure or not parameters.needs_hydraulics)
            and (bus_powered is not False or not parameters.needs_bus),
        )
        wanted = ENGAGED.holds(self.conditions)
        if wanted == self.is_engaged:
            return
        self._chart.send_trigger("engage" if wanted else "release")
        self._log.note(now_s, "steering_engaged" if wanted else "steering_released")
        self._turn()

    def told(self) -> Told:
        """The last conditions in words."""
        conditions, parameters = self.conditions, self._parameters
        leg = parameters.steering_leg
        needs = {
            "hydraulic pressure": parameters.needs_hydraulics,
            "electrical power": parameters.needs_bus,
        }
        words = [name for name, needed in needs.items() if needed]
        return {
            "held": (Reason("steering button held", conditions.held),),
            "pressed_anew": (Reason("steering button let go before", conditions.pressed_anew),),
            "has_weight": (Reason(f"weight on the {leg} strut", conditions.has_weight),),
            "leg_down": (Reason(f"{leg} leg locked down", conditions.leg_down),),
            "available": (Reason("no emergency extension", conditions.available),),
            "powered": (
                Reason(
                    "steering has power",
                    conditions.powered,
                    f"needs {' and '.join(words) or 'none'}",
                ),
            ),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """The angle and its limit."""
        return {"steering_deg": self.steering_deg, "steering_limit_deg": self.limit_deg}

    def _turn(self) -> bool:
        """Work out the angle; True when it has changed."""
        if not self.is_engaged or self._asked == 0.0:
            angle_deg = 0.0
        else:
            angle_deg = self._asked * self.limit_deg
            # Towards the centre, so that it is never more than the speed allows.
            steps = int(abs(angle_deg) / STEP_DEG + 1e-9)
            angle_deg = copysign(steps * STEP_DEG, angle_deg) if steps else 0.0
        changed = angle_deg != self.steering_deg
        self.steering_deg = angle_deg
        return changed
