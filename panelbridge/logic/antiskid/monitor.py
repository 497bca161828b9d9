"""Anti-skid watches itself: what it must not do for long shuts it down, and brakes come back.

A wheel that is let go for longer than its limit, that has not spun up after a touchdown, or that
seems to turn far too fast is braked by hand from then on; its lamp is lit a little later, and stays
until anti-skid is switched off and on. Source: US Navy 1278BK1, limitation c (all pressure dumped
for more than 2 s, or no spin-up for 3 s after the touchdown: the system shuts down, the caution
comes after 1 s, manual braking returns, reset by cycling the switch). That each wheel is judged by
itself is our own decision: so one sensor takes no brakes but its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Self

from msgspec import Struct

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import (
    ANTISKID,
    AntiskidFacts,
    AntiskidMonitorFacts,
    WheelLocksFacts,
    WheelSensorsFacts,
)
from panelbridge.logic.antiskid.fitting import AntiskidFitting, fitting_of
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level

DUMPED = "its brake was let go for too long"
NOT_SPUN_UP = "its wheel did not spin up after the touchdown"
TOO_FAST = "its wheel seems to turn faster than the aircraft rolls"


class _Watch(Struct, frozen=True):
    """One wheel.

    Attributes:
        limits_s: what it must not go on doing, and when that will have lasted too long, s.
        cause: why anti-skid has shut itself down on it; empty when it has not.
        shown_s: when its lamp is due, s; -inf once it was.
    """

    limits_s: tuple[tuple[str, float], ...] = ()
    cause: str = ""
    shown_s: float = inf

    def due_s(self) -> float:
        """When the first of its times comes, s."""
        return min([self.shown_s, *[one for _, one in self.limits_s]])


class _MonitorMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        wheels: each braked wheel.
        switch: the switch; None before it was known.
        grounds: whether the struts of the left and right carry weight; None when unknown.
        landing: whether each wheel has not spun up since the touchdown.
    """

    wheels: tuple[_Watch, ...]
    landing: tuple[bool, ...]
    switch: bool | None = None
    grounds: tuple[bool | None, ...] = (None, None)


class AntiskidMonitor(System[AntiskidMonitorFacts]):
    """Watches anti-skid on every braked wheel.

    Args:
        fitting: anti-skid of the aircraft.
    """

    title = "Anti-skid"
    events = {
        "antiskid_shut_down": (
            Level.INFO,
            "anti-skid shut itself down on the {subject} wheel: {cause}; it brakes by hand",
        ),
        "antiskid_monitor_reset": (Level.INFO, "anti-skid was switched on again after a failure"),
    }
    memory: _MonitorMemory

    def __init__(self, fitting: AntiskidFitting) -> None:
        super().__init__()
        parameters = fitting.parameters
        self._names, self._sides, self._struts = fitting.names, fitting.sides, fitting.struts
        self._delay_s = parameters.caution_delay_s
        limits_s = {
            DUMPED: parameters.dump_limit_s,
            NOT_SPUN_UP: parameters.spin_up_limit_s,
            TOO_FAST: parameters.sensor_fault_s,
        }
        self._limits_s = {cause: limit for cause, limit in limits_s.items() if limit is not None}
        count = len(self._names)
        self.memory = _MonitorMemory((_Watch(),) * count, (False,) * count)
        self.facts = AntiskidMonitorFacts(("",) * count, *((False,) * count,) * 2)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without anti-skid."""
        fitting = fitting_of(build.aircraft)
        return None if fitting is None else cls(fitting)

    def update(self, now_s: float, world: World) -> AntiskidMonitorFacts:
        """Watch every wheel."""
        memory, switch = self.memory, world[ANTISKID]
        watches = memory.wheels
        if memory.switch is False and switch is True:
            if any(one.cause for one in watches):
                self.note(now_s, "antiskid_monitor_reset")
            watches = (_Watch(),) * len(watches)
        struts = world[AirGroundFacts].struts
        grounds = tuple([struts[place] if struts else None for place in self._struts])
        landing = self._landing(world, memory, grounds)
        antiskid, speeds = world[AntiskidFacts].wheels, world[WheelLocksFacts].too_fast
        now = []
        for number, watch in enumerate(watches):
            does = {
                DUMPED: bool(antiskid) and antiskid[number].locked,
                NOT_SPUN_UP: landing[number],
                TOO_FAST: bool(speeds) and speeds[number],
            }
            now.append(self._take(now_s, number, watch, does))
        known = memory.switch if switch is None else switch
        self.memory = _MonitorMemory(tuple(now), landing, known, grounds)
        self.due_s = min([one.due_s() for one in now if one.due_s() > now_s], default=inf)
        return AntiskidMonitorFacts(
            tuple([one.cause for one in now]),
            tuple([one.shown_s == -inf for one in now]),
            landing,
        )

    def _landing(
        self, world: World, memory: _MonitorMemory, grounds: Sequence[bool | None]
    ) -> tuple[bool, ...]:
        """Whether each wheel has touched down and not spun up yet; one without a speed cannot."""
        sensors = world[WheelSensorsFacts]
        if not world[AntiskidFacts].is_running or sensors.fast is False:
            return (False,) * len(self._sides)
        landing = []
        for number, side in enumerate(self._sides):
            touched = memory.landing[number] or memory.grounds[side] is False
            stands = sensors.known[number] and not sensors.spun_up[number]
            landing.append(touched and grounds[side] is True and stands)
        return tuple(landing)

    def _take(self, now_s: float, number: int, watch: _Watch, does: Mapping[str, bool]) -> _Watch:
        """One wheel now; what it does counts from the moment when it began."""
        if watch.cause:
            shown_s = -inf if now_s >= watch.shown_s else watch.shown_s
            return watch if shown_s == watch.shown_s else _Watch((), watch.cause, shown_s)
        began = dict(watch.limits_s)
        limits_s = {
            cause: began.get(cause, now_s + limit_s)
            for cause, limit_s in self._limits_s.items()
            if does[cause]
        }
        for cause, due_s in limits_s.items():
            if now_s >= due_s:
                name = self._names[number]
                self.note(now_s, "antiskid_shut_down", name, cause=cause)
                shown_s = now_s + self._delay_s if self._delay_s else -inf
                return _Watch((), cause, shown_s)
        return _Watch(tuple(limits_s.items()))
