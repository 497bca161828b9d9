"""Anti-skid watches its own sensors: a speed that is lost, a wheel that seems to stand.

A wheel without a speed, or whose strut is unknown while something else of the aircraft is known,
has failed after a time; it works again as soon as both are back. One that stands on the ground
while another one turns fast is let go like any locked wheel; when it stands on it is the sensor
that is dead, until it is seen to turn. A wheel that may really be locked (anti-skid off, parking or
emergency brake, too slow) is not judged. Sources: 25.735(e) before 2002 and 23.735(d) before 2017
(no single failure may cause a hazardous loss of braking); the times are our own decision.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Self

from msgspec import Struct

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID, WheelSensorsFacts
from panelbridge.logic.antiskid.fitting import AntiskidFitting, fitting_of
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, GROUND_SPEED_KT, wheel_rpm
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World

STANDS_RPM = 1.0
"""A wheel at or below this seems to stand, revolutions a minute."""
NO_SPEED, NO_STRUT = "no wheel speed", "its squat switch is unknown"
STANDS = "its wheel seems to stand while others turn"


class _Sensor(Struct, frozen=True):
    """One sensor.

    Attributes:
        cause: what seems to be wrong now.
        due_s: when that has lasted for its time, s.
        found: what has failed; empty when nothing has.
    """

    cause: str = ""
    due_s: float = inf
    found: str = ""

    def take(self, now_s: float, cause: str, fault_s: float, *, turns: bool) -> _Sensor:
        """It now: what seems to be wrong, and whether the wheel is seen to turn."""
        found = self.found
        if cause and cause == self.cause and now_s >= self.due_s:
            found = cause
        elif not cause and (turns or found != STANDS):
            found = ""
        due_s = self.due_s if cause == self.cause else now_s + fault_s if cause else inf
        if found == cause:
            due_s = inf
        now = _Sensor(cause, due_s, found)
        return self if now == self else now


class WheelSensors(System[WheelSensorsFacts]):
    """The sensors of the braked wheels.

    Args:
        fitting: anti-skid of the aircraft.
    """

    title = "Anti-skid"
    memory: tuple[_Sensor, ...]

    def __init__(self, fitting: AntiskidFitting) -> None:
        super().__init__()
        parameters, self._sides, self._struts = fitting.parameters, fitting.sides, fitting.struts
        self._fault_s = parameters.sensor_fault_s
        up = parameters.spun_up_rpm
        down, wheels = up - parameters.spun_up_hysteresis_rpm, range(len(self._sides))
        self._spun_up = [Threshold(wheel_rpm(number), up, down) for number in wheels]
        self._turns = [Threshold(wheel_rpm(number), STANDS_RPM) for number in wheels]
        off, on = parameters.low_speed_off_kt, parameters.low_speed_on_kt
        self._fast = Threshold(GROUND_SPEED_KT, *((-inf, -inf) if off is None else (on, off)))
        self.readings = (*self._spun_up, *self._turns, self._fast)
        self.memory = (_Sensor(),) * len(wheels)
        none = (False,) * len(wheels)
        self.facts = WheelSensorsFacts(none, none, ("",) * len(wheels))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without anti-skid."""
        fitting = fitting_of(build.aircraft)
        return None if fitting is None else cls(fitting)

    def update(self, now_s: float, world: World) -> WheelSensorsFacts:
        """Judge every sensor."""
        spun_up = tuple([world[one] is True for one in self._spun_up])
        turns = [world[one] for one in self._turns]
        fast = world[self._fast]
        if self._fault_s is not None:
            causes = self._causes(world, spun_up, turns, fast)
            every = zip(self.memory, causes, turns, strict=True)
            fault_s = self._fault_s
            self.memory = tuple(
                [one.take(now_s, why, fault_s, turns=move is True) for one, why, move in every]
            )
        self.due_s = min([one.due_s for one in self.memory], default=inf)
        known = tuple([one is not None for one in turns])
        return WheelSensorsFacts(spun_up, known, tuple([one.found for one in self.memory]), fast)

    def _causes(
        self, world: World, spun_up: Sequence[bool], turns: Sequence[bool | None], fast: bool | None
    ) -> list[str]:
        """What seems to be wrong with each wheel now."""
        struts = world[AirGroundFacts].struts
        grounds = [struts[place] if struts else None for place in self._struts]
        if all(one is None for one in (*grounds, *turns)):
            return [""] * len(turns)  # nothing comes from the aircraft at all
        causes = []
        for number, (side, moves) in enumerate(zip(self._sides, turns, strict=True)):
            if grounds[side] is None:
                causes.append(NO_STRUT)
            elif moves is None:
                causes.append(NO_SPEED)
            else:
                others = any(up for place, up in enumerate(spun_up) if place != number)
                stands = moves is False and others and grounds[side] is True
                causes.append(STANDS if stands and fast is not False and _judged(world) else "")
        return causes


def _judged(world: World) -> bool:
    """Anti-skid would let go a wheel that is locked; asked for only while one seems to stand."""
    brakes = world[BrakesFacts]
    works = world[ANTISKID] is True and world[BUS_POWERED] is not False
    return works and not brakes.is_parked and not brakes.emergency_braking
