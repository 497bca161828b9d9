"""Which braked wheels are locked, from their speeds, which change in every step.

A wheel is compared with the fastest other one, never with itself (US Navy P-1239); with a wheel
radius in the aircraft file also with the speed over the ground, which alone sees that all of them
have locked together or slide on water (FAA-H-8083-3, dynamic hydroplaning).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf, pi
from typing import Any, Self

from panelbridge.logic.antiskid.facts import AntiskidFacts, WheelLocksFacts, WheelSensorsFacts
from panelbridge.logic.antiskid.fitting import AntiskidFitting, fitting_of
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.kit.aircraft_cells import GROUND_SPEED_KT, wheel_rpm
from panelbridge.logic.kit.declarations import Want
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World

RPM_METRES_PER_KT = 1852.0 / 60.0 / (2.0 * pi)
"""A wheel with a radius of one metre turns this fast at one knot, revolutions a minute."""


class WheelLocks(System[WheelLocksFacts]):
    """Compares the speeds of the braked wheels while anti-skid watches one of them.

    Args:
        fitting: anti-skid of the aircraft.
    """

    title = "Anti-skid"

    def __init__(self, fitting: AntiskidFitting) -> None:
        super().__init__()
        self._parameters, wheels = fitting.parameters, len(fitting.names)
        self._speeds = tuple([wheel_rpm(number) for number in range(wheels)])
        self._rolling_ratio = max(self._parameters.rolling_ratio, self._parameters.locked_ratio)
        radius_m = self._parameters.wheel_radius_m
        self._rpm_per_kt = RPM_METRES_PER_KT / radius_m if radius_m else None
        self.facts = self._none = WheelLocksFacts((False,) * wheels, (False,) * wheels)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without anti-skid."""
        fitting = fitting_of(build.aircraft)
        return None if fitting is None else cls(fitting)

    @classmethod
    def wants(cls, aircraft: Any) -> Iterator[Want]:
        """The speed of every wheel, and the speed over the ground where the radius is known."""
        fitting = fitting_of(aircraft)
        if fitting is None:
            return
        hint = "Give it, or write 'antiskid: null' in the aircraft file"
        rpm = tuple([f"{name}_wheel_rpm" for name in fitting.names])
        yield Want(rpm, "anti-skid fails there", hint)
        if fitting.parameters.wheel_radius_m is not None:
            loss = "anti-skid does not see wheels that all lock together, nor that it is slow"
            yield Want(("ground_speed_kt",), loss, "Give it, or leave 'wheel_radius_m' out")

    def update(self, now_s: float, world: World) -> WheelLocksFacts:
        """Compare the speeds."""
        antiskid, before = world[AntiskidFacts], self.facts
        if not any(antiskid.watched):
            return self._none
        speeds, sensors = [world[speed] for speed in self._speeds], world[WheelSensorsFacts]
        parameters, rolling_rpm = self._parameters, self._rolling_rpm(world, sensors)
        limit_rpm = inf
        if rolling_rpm is not None and parameters.too_fast_ratio is not None:
            limit_rpm = rolling_rpm * parameters.too_fast_ratio
        known = [speed for speed in speeds if speed is not None]
        top_rpm, rolling = max(known, default=0.0), self._rolling_ratio
        if top_rpm <= limit_rpm and min(known, default=0.0) >= rolling * max(
            top_rpm, rolling_rpm or 0.0
        ):
            return self._none  # all of them turn alike
        too_fast = tuple([rpm is not None and rpm > limit_rpm for rpm in speeds])
        fit = [up and not fast for up, fast in zip(sensors.spun_up, too_fast, strict=True)]
        locked = locked_wheels(
            speeds, antiskid.watched, fit, before.locked, self._parameters, rolling_rpm
        )
        unchanged = (locked, too_fast) == (before.locked, before.too_fast)
        return before if unchanged else WheelLocksFacts(locked, too_fast)

    def _rolling_rpm(self, world: World, sensors: WheelSensorsFacts) -> float | None:
        """How fast a free wheel turns at the speed over the ground; None when it is no reference.

        The airspeed is none: a parked aircraft has one in the wind.
        """
        if self._rpm_per_kt is None or not sensors.fast:
            return None
        speed_kt = world[GROUND_SPEED_KT]
        return None if speed_kt is None else speed_kt * self._rpm_per_kt


def locked_wheels(
    speeds: Sequence[float | None],
    watched: Sequence[bool],
    references: Sequence[bool],
    before: Sequence[bool],
    parameters: AntiskidParameters,
    rolling_rpm: float | None = None,
) -> tuple[bool, ...]:
    """Which wheels are far slower than the fastest other one that is spun up, or than the ground.

    Args:
        speeds: of each wheel, revolutions a minute; None when unknown.
        watched: the wheels that are braked and watched; no other one is called locked.
        references: the wheels that are known to turn fast, and not too fast to be true.
        before: the wheels that were locked.
        parameters: with the ratios.
        rolling_rpm: how fast a free wheel turns at the speed over the ground; None when unknown.
    """
    rolling = max(parameters.rolling_ratio, parameters.locked_ratio)
    locked = []
    for number, speed in enumerate(speeds):
        others = [
            other
            for place, other in enumerate(speeds)
            if place != number and other is not None and references[place]
        ]
        if rolling_rpm is not None:
            others.append(rolling_rpm)
        ratio = rolling if before[number] else parameters.locked_ratio
        slow = speed is not None and bool(others) and speed < ratio * max(others)
        locked.append(watched[number] and slow)
    return tuple(locked)
