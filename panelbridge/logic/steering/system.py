"""Nose-wheel steering: only while a button is held, on the ground, with the leg locked down.

Sources: US Navy NAVEDTRA 14018 fig. 12-15 (steers only with weight on wheels and the switch held,
by as much as the pedals ask, and is centred otherwise); US Army TM 1-1510-224-10 (centred when the
nose leg is not down); US Army TM 1-1510-253-CL (not to be armed after an emergency extension).
Press and hold, an angle that falls with the speed, and that a button held since before the
touchdown has to be pressed again, are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import copysign
from typing import Any, Self

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import (
    AIRSPEED_KIAS,
    BUS_POWERED,
    GROUND_SPEED_KT,
    STEERING_PEDAL,
)
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.declarations import CommandSignal, Group, Lamp, Misfit, Signal
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button, Lever
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.logic.steering.rules import (
    ENGAGED,
    LOCKED,
    REFUSED,
    UNPOWERED,
    steering_words,
)
from panelbridge.logic.steering.shaping import PedalShaping
from panelbridge.logic.wheel_lock.facts import WheelLockFacts
from panelbridge.logic.wheel_lock.parameters import WheelLockParameters
from panelbridge.signals import Level

STEP_DEG = 0.5
"""Steps of the angle that is asked of the nose wheel, degrees."""
STEERING_BUTTON = Button(
    "steering_button", "steering", "Held: engages nose-wheel steering.", required=True
)
SECOND_BUTTON = Button(
    "second_steering_button",
    "second steering button",
    "Held: engages nose-wheel steering, as the first one does.",
)
TILLER = Lever(
    "tiller",
    "steering tiller",
    "Steering tiller or pedals, if wired to the panel; in the middle the wheel is straight.",
    rest=0.5,
)
_BUTTONS = (STEERING_BUTTON, SECOND_BUTTON)


class SteeringChart(Chart):
    """Steering."""

    steer_off = State(initial=True)
    steer_engaged = State()

    engage = steer_off.to(steer_engaged)
    release = steer_engaged.to(steer_off)


class _SteeringMemory(Struct, frozen=True):
    state: str = "steer_off"
    buttons: tuple[RisingEdge, ...] = (RisingEdge(),) * len(_BUTTONS)


class Steering(System[SteeringFacts]):
    """Steering of one leg.

    Args:
        parameters: its numbers.
        place: place of the steered leg, from 0.
        shaping: of the panel's pedals or tiller.
        can_be_lost: something can take the steering away: an emergency extension, power, a lock.
        can_be_locked: there is a lock of the same wheel.
    """

    title = "Steering"
    groups = (Group("steering", SteeringParameters, "Nose-wheel steering.", SteeringParameters()),)
    charts = (SteeringChart,)
    events = {
        "steering_engaged": (Level.INFO, "nose-wheel steering was engaged"),
        "steering_released": (Level.INFO, "nose-wheel steering was released"),
        "steering_refused": (
            Level.CAUTION,
            "nose-wheel steering was refused: it does not work after an emergency extension",
        ),
        "steering_refused_locked": (
            Level.CAUTION,
            "nose-wheel steering was refused: the wheel is locked",
        ),
    }
    switches = (*_BUTTONS, TILLER)
    commands = (
        CommandSignal(
            "steering_engaged",
            "nose-wheel steering is engaged",
            lambda world: world[SteeringFacts].is_engaged,
        ),
        CommandSignal(
            "steering_deg",
            "angle of the nose wheel, degrees, right positive",
            lambda world: world[SteeringFacts].steering_deg,
        ),
    )
    memory: _SteeringMemory

    def __init__(
        self,
        parameters: SteeringParameters,
        place: int,
        shaping: PedalShaping,
        *,
        can_be_lost: bool,
        can_be_locked: bool = False,
    ) -> None:
        super().__init__()
        self._parameters = parameters
        self._place = place
        self._shaping = shaping
        self._can_be_locked = can_be_locked
        if not can_be_locked:
            self.never_notes("steering_refused_locked")
        self.lamps = (Lamp("steering_green", "steering engaged", (ENGAGED,), legend="STEERING"),)
        if can_be_lost:
            lost = (REFUSED, UNPOWERED, *((LOCKED,) if can_be_locked else ()))
            self.lamps += (
                Lamp(
                    "steering_unavailable_amber",
                    "steering not available",
                    lost,
                    legend="NO STEERING",
                ),
            )
        self.values = (
            Signal(
                *("steering", "word", "nose-wheel steering"),
                lambda world: "engaged" if world[SteeringFacts].is_engaged else "released",
                words=("engaged", "released"),
                group="gear",
                never_unknown=True,
            ),
            Signal(
                *("steering_deg", "number", "nose wheel"),
                lambda world: world[SteeringFacts].steering_deg,
                unit="degrees",
                low=-90.0,
                high=90.0,
            ),
            Signal(
                *("steering_limit_deg", "number", "steering limit", self._limit_deg),
                unit="degrees",
                low=0.0,
                high=90.0,
            ),
        )
        self.facts = SteeringFacts()
        self.memory = _SteeringMemory()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without steering."""
        aircraft = build.aircraft
        parameters = aircraft.group(SteeringParameters)
        if parameters.steering_leg is None:
            return None
        has_emergency = aircraft.optional(EmergencyParameters) is not None
        lock = aircraft.optional(WheelLockParameters)
        can_be_locked = lock is not None and lock.leg == parameters.steering_leg
        steering = cls(
            parameters,
            aircraft.strut_names.index(parameters.steering_leg),
            build.panel.shaping,
            can_be_lost=parameters.needs_hydraulics
            or parameters.needs_bus
            or has_emergency
            or can_be_locked,
            can_be_locked=can_be_locked,
        )
        if not has_emergency:
            steering.never_notes("steering_refused")
        return steering

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A steered leg that is not there, pressure that no supply gives."""
        parameters = aircraft.group(SteeringParameters)
        if parameters.steering_leg is None:
            return
        yield from aircraft.missing_legs([(("steering", "steering_leg"), parameters.steering_leg)])
        if parameters.needs_hydraulics:
            yield from unserved(aircraft, ("steering", "needs_hydraulics"), "gear")

    def update(self, now_s: float, world: World) -> SteeringFacts:
        """Follow the buttons; while engaged, the pedals and the speed."""
        memory, parameters = self.memory, self._parameters
        struts, legs = world[AirGroundFacts].struts, world[GearFacts].legs
        available = not world[EmergencyFacts].extended
        wheel_free = not (self._can_be_locked and world[WheelLockFacts].locked)
        buttons = tuple(
            [edge.take(world[one]) for edge, one in zip(memory.buttons, _BUTTONS, strict=True)]
        )
        if not (available and wheel_free):
            if any(was.rises(now) for was, now in zip(memory.buttons, buttons, strict=True)):
                self.note(now_s, "steering_refused_locked" if available else "steering_refused")
            buttons = tuple([one.spent() for one in buttons])
        elif parameters.new_press_on_ground and struts and struts[self._place] is False:
            buttons = tuple([one.spent() for one in buttons])
        held = any(one.on for one in buttons)
        facts = SteeringFacts(
            held=held,
            rising_edge=any(one.holds if held else one.armed for one in buttons),
            has_weight=bool(struts) and struts[self._place] is True,
            leg_down=bool(legs) and all(leg.locked_down for leg in legs[self._place :][:1]),
            available=available,
            wheel_free=wheel_free,
            powered=(not parameters.needs_hydraulics or world[HydraulicsFacts].serves("gear"))
            and (not parameters.needs_bus or world[BUS_POWERED] is not False),
        )
        engaged = ENGAGED.holds(facts)
        state = SteeringChart.after(memory.state, "engage" if engaged else "release")
        if state != memory.state:
            self.note(now_s, "steering_engaged" if engaged else "steering_released")
        self.memory = _SteeringMemory(state, buttons)
        if not engaged:
            return facts
        return replace(facts, is_engaged=True, steering_deg=self._angle_deg(world))

    def _angle_deg(self, world: World) -> float:
        """The angle that is asked for, in steps."""
        tiller = world[TILLER]
        travel = world[STEERING_PEDAL] if tiller is None else 2.0 * tiller - 1.0
        asked = 0.0 if travel is None else self._shaping.shape(travel)
        if asked == 0.0:
            return 0.0
        angle_deg = asked * self._limit_deg(world)
        # Towards the centre, so that it is never more than the speed allows.
        steps = int(abs(angle_deg) / STEP_DEG + 1e-9)
        return copysign(steps * STEP_DEG, angle_deg) if steps else 0.0

    def _limit_deg(self, world: World) -> float:
        """Greatest angle at the speed over the ground, or else of the air."""
        speed_kt = world[GROUND_SPEED_KT]
        return self._parameters.limit_deg(world[AIRSPEED_KIAS] if speed_kt is None else speed_kt)

    def words(self, world: World) -> Words:
        """The conditions in words."""
        return steering_words(world[SteeringFacts], self._parameters)

    def shows(self, world: World) -> dict[str, Any]:
        """Whether it is engaged."""
        return {"steering_engaged": world[SteeringFacts].is_engaged}
