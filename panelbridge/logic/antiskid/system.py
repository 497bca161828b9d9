"""Anti-skid: which wheels it watches, shuts off before they turn, and releases when they lock.

It works on a wheel while it is switched on, that wheel's side is on the ground, the parking brake
is released, the wheel is spun up and the aircraft not slow; not with the emergency brake (common
practice, no source; low speed: US Navy 1278BK1, limitations a, b). A locked wheel is let go: it is
no longer spun up, so that the *other* wheel is the reference (``wheel_locks``). Where its valve has
failed, or it has shut itself down (``monitor``), a wheel brakes by hand; where only the speed is
not known (``sensors``) the brakes still wait for the touchdown (``touchdown``). A switch that is
not known to be on is off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Any, Self

from msgspec import Struct

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import (
    ANTISKID,
    AntiskidFacts,
    AntiskidMonitorFacts,
    WheelFacts,
    WheelLocksFacts,
    WheelSensorsFacts,
)
from panelbridge.logic.antiskid.fitting import AntiskidFitting, fitting_of
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.antiskid.rules import (
    FAILED,
    REMINDERS,
    antiskid_lamps,
    antiskid_words,
    failed_on,
    wheel_words,
)
from panelbridge.logic.antiskid.touchdown import Protection, TouchdownChart, blocked_wheels, protect
from panelbridge.logic.antiskid.wheels import wheel_values
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, antiskid_working
from panelbridge.logic.kit.declarations import CommandSignal, Group, Lamp, Misfit
from panelbridge.logic.kit.handles import Fault
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level


class _AntiskidMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        protections: touchdown protection of the left and right.
        switch: the switch; None before it was known.
        running: it was switched on and had power.
        tested_s: when the self-test is over, s; inf when none is on.
    """

    protections: tuple[Protection, ...]
    switch: bool | None = None
    running: bool = False
    tested_s: float = inf


class AntiSkid(System[AntiskidFacts]):
    """Anti-skid of all braked wheels.

    Args:
        fitting: anti-skid of the aircraft.
    """

    title = "Anti-skid"
    groups = (Group("antiskid", AntiskidParameters, "Anti-skid; null for an aircraft without."),)
    charts = (TouchdownChart,)
    events = {
        "antiskid_failed": (Level.CAUTION, "anti-skid failed on the {subject} wheel: {cause}"),
        "antiskid_left_off": (Level.CAUTION, "anti-skid is off with the gear down in the air"),
        "antiskid_tested": (Level.INFO, "the self-test of anti-skid ended"),
        "brakes_free_by_time": (
            Level.CAUTION,
            "the {side} brakes are free after the time limit: no wheel speed since the touchdown",
        ),
        "locked_wheel_let_go": (Level.INFO, "the {subject} wheel locked and was let go"),
    }
    switches = (ANTISKID,)
    commands = (
        CommandSignal(
            "antiskid",
            "anti-skid works on at least one wheel",
            lambda world: world[AntiskidFacts].is_working,
        ),
    )
    memory: _AntiskidMemory

    def __init__(self, fitting: AntiskidFitting) -> None:
        super().__init__()
        self._parameters, self._fed = fitting.parameters, fitting.fed_working
        self._names, self._sides, self._struts = fitting.names, fitting.sides, fitting.struts
        self.faults = tuple([Fault(f"{name}_antiskid", ("failed",)) for name in self._names])
        self.lamps = antiskid_lamps(fitting.parameters, self._names)
        self.values = wheel_values(self._names)
        free = [Protection((False,) * self._sides.count(side)) for side in range(len(SIDES))]
        self.memory = _AntiskidMemory(tuple(free))
        self.facts = AntiskidFacts(wheels=(WheelFacts(),) * len(self._names))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without."""
        fitting = fitting_of(build.aircraft)
        return None if fitting is None else cls(fitting)

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Legs and braked wheels that are not there."""
        parameters = aircraft.optional(AntiskidParameters)
        if parameters is None:
            return
        yield from aircraft.missing_legs(
            [(("antiskid", key), getattr(parameters, key)) for key in ("left_leg", "right_leg")]
        )
        if aircraft.optional(BrakesParameters) is None:
            what = "anti-skid needs the braked wheels, and the aircraft file has no brakes"
            yield Misfit(("antiskid",), what, "Add 'brakes:' with its wheels")

    def update(self, now_s: float, world: World) -> AntiskidFacts:
        """Follow switch, struts, brakes and wheels."""
        switch, brakes, sides = world[ANTISKID], world[BrakesFacts], self._sides
        powered = world[BUS_POWERED] is not False
        running = switch is True and powered
        struts, sensors = world[AirGroundFacts].struts, world[WheelSensorsFacts]
        grounds = [struts[place] if struts else None for place in self._struts]
        broken = self._broken(world)
        tested_s = self._test(now_s, running)
        protections = self._protect(now_s, grounds, sensors)
        self.memory = _AntiskidMemory(protections, switch, running, tested_s)
        self.due_s = min(tested_s, *[one.due_s for one in protections])
        blocked = blocked_wheels(protections, sides)
        monitor, causes = world[AntiskidMonitorFacts], sensors.causes
        found, testing = world[WheelLocksFacts].locked, tested_s < inf
        wheels, watched = [], []
        for number, side in enumerate(sides):
            by_hand = broken[number] or monitor.causes[number]
            cause = by_hand or causes[number]
            can = running and not brakes.emergency_braking and not by_hand
            armed = can and not cause and not brakes.is_parked and grounds[side] is True
            armed = armed and sensors.fast is not False and not monitor.landing[number]
            block = blocked[number]
            watched.append(armed and not block and brakes.side_fractions[side] > 0.0)
            locked = watched[number] and found[number]
            wheels.append(
                WheelFacts(
                    running=running,
                    failed=bool(cause),
                    cause=cause,
                    shown=bool(broken[number] or causes[number]) or monitor.shown[number],
                    by_air=brakes.emergency_braking,
                    testing=testing,
                    active=armed and sensors.spun_up[number],
                    shut_off=locked or (can and block),
                    locked=locked,
                )
            )
        facts = AntiskidFacts(
            wheels=tuple(wheels),
            watched=tuple(watched),
            switched_on=switch is True,
            powered=powered,
            parked=brakes.is_parked,
            by_air=brakes.emergency_braking,
            gear_down=world[GearFacts].all_down,
            in_air=world[AirGroundFacts].air_for_warnings,
            testing=testing,
        )
        if facts != self.facts:
            self._note_changes(now_s, facts)
        return facts

    def _broken(self, world: World) -> list[str]:
        """Why each wheel cannot be let go, as the bench or the feed says; empty where it can."""
        broken = ["its valve failed" * (world[fault] is not None) for fault in self.faults]
        if self._fed:
            for number, cause in enumerate(broken):
                if not cause and world[antiskid_working(number)] is not True:
                    broken[number] = "the simulator does not say that it works"
        return broken

    def _protect(
        self, now_s: float, grounds: Sequence[bool | None], sensors: WheelSensorsFacts
    ) -> tuple[Protection, ...]:
        """Touchdown protection now; it follows the wheels while anti-skid is off."""
        before = self.memory.protections
        if not self._parameters.touchdown_protection:
            return before
        for side, one in zip(SIDES, before, strict=True):
            if now_s >= one.due_s:
                self.note(now_s, "brakes_free_by_time", side=side)
        timeout_s = self._parameters.touchdown_timeout_s
        return protect(before, now_s, grounds, sensors, self._sides, timeout_s)

    def _test(self, now_s: float, running: bool) -> float:
        """When the self-test is over, s; anti-skid that is on at start-up makes none."""
        memory, tested_s = self.memory, self.memory.tested_s
        if now_s >= tested_s:
            tested_s = inf
            self.note(now_s, "antiskid_tested")
        if not running:
            return inf
        test_s = self._parameters.self_test_s
        starts = not memory.running and memory.switch is not None and test_s > 0.0
        return now_s + test_s if starts else tested_s

    def _note_changes(self, now_s: float, facts: AntiskidFacts) -> None:
        before = self.facts
        changes = [*zip(self._names, before.wheels, facts.wheels, strict=True)]
        for name, was, now in changes:
            if now.locked and not was.locked:
                self.note(now_s, "locked_wheel_let_go", name)
        for name, was, now in changes:
            if FAILED.holds(now) and not FAILED.holds(was):
                self.note(now_s, "antiskid_failed", name, cause=now.cause)
        reminded = any(rule.holds(before) for rule in REMINDERS)
        if not reminded and any(rule.holds(facts) for rule in REMINDERS):
            self.note(now_s, "antiskid_left_off")

    def words(self, world: World) -> Words:
        """The conditions of the whole in words."""
        return antiskid_words(world[AntiskidFacts])

    def words_of(self, lamp: Lamp, world: World) -> Words:
        """The conditions of one wheel, for its lamp."""
        if lamp not in self.lamps[:-1]:
            return self.words(world)
        number = self.lamps.index(lamp)
        return wheel_words(self._names[number], world[AntiskidFacts].wheels[number])

    def failures(self) -> tuple[str, ...]:
        """The wheels on which it is seen to have failed."""
        wheels = zip(self._names, self.facts.wheels, strict=True)
        return tuple([f"{failed_on(name)}: {one.cause}" for name, one in wheels if one.shown])
