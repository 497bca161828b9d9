"""Anti-skid: which wheels it watches, shuts off before they turn, and releases when they lock.

It works on a wheel while it is switched on, that wheel's side is on the ground, the parking brake
is released and the wheel is spun up; not with the emergency brake (common practice, no source). A
locked wheel, far slower than the fastest other one, is let go: it is no longer spun up, so that the
*other* wheel is the reference. Before and just after the touchdown see ``touchdown``. A switch that
is not known to be on is off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import Any, Self

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID, AntiskidFacts, WheelFacts
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.antiskid.rules import (
    REMINDERS,
    WHEEL_RULES,
    antiskid_lamps,
    antiskid_words,
    failed_on,
    wheel_words,
)
from panelbridge.logic.antiskid.touchdown import Protection, TouchdownChart, blocked_wheels, protect
from panelbridge.logic.antiskid.wheel_locks import WheelLocksFacts
from panelbridge.logic.antiskid.wheels import wheel_values
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters, WheelParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, antiskid_working, wheel_rpm
from panelbridge.logic.kit.declarations import CommandSignal, Group, Lamp, Misfit
from panelbridge.logic.kit.handles import Fault, Threshold
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level


@dataclass(frozen=True, slots=True)
class _AntiskidMemory:
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
        parameters: its numbers.
        wheels: the braked wheels.
        struts: places of the legs whose struts say that the left and right are on the ground.
        fed_working: the feed is the authority for the wheels on which it works.
    """

    title = "Anti-skid"
    groups = (Group("antiskid", AntiskidParameters, "Anti-skid; null for an aircraft without."),)
    charts = (TouchdownChart,)
    events = {
        "antiskid_failed": (Level.CAUTION, "anti-skid failed on the {subject} wheel"),
        "antiskid_left_off": (Level.CAUTION, "anti-skid is off with the gear down in the air"),
        "antiskid_tested": (Level.INFO, "the self-test of anti-skid ended"),
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

    def __init__(
        self,
        parameters: AntiskidParameters,
        wheels: Sequence[WheelParameters],
        struts: tuple[int, int],
        *,
        fed_working: bool = False,
    ) -> None:
        super().__init__()
        self._parameters = parameters
        self._struts = struts
        self._fed = fed_working
        self._names = tuple([wheel.name for wheel in wheels])
        self._sides = tuple([SIDES.index(wheel.side) for wheel in wheels])
        spun_down = parameters.spun_up_rpm - parameters.spun_up_hysteresis_rpm
        self._spun_up = tuple(
            [
                Threshold(wheel_rpm(number), parameters.spun_up_rpm, spun_down)
                for number in range(len(wheels))
            ]
        )
        self.readings = self._spun_up
        self.faults = tuple([Fault(f"{name}_antiskid", ("failed",)) for name in self._names])
        self.lamps = antiskid_lamps(parameters, self._names)
        self.values = wheel_values(self._names)
        free = [Protection((False,) * self._sides.count(side)) for side in range(len(SIDES))]
        self.memory = _AntiskidMemory(tuple(free))
        self.facts = AntiskidFacts(wheels=(WheelFacts(),) * len(wheels))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without."""
        aircraft = build.aircraft
        parameters = aircraft.optional(AntiskidParameters)
        brakes = aircraft.optional(BrakesParameters)
        if parameters is None or brakes is None:
            return None
        legs = aircraft.leg_names
        return cls(
            parameters,
            brakes.wheels,
            (legs.index(parameters.left_leg), legs.index(parameters.right_leg)),
            fed_working=aircraft.authority.antiskid == "feed",
        )

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
        struts = world[AirGroundFacts].struts
        grounds = [struts[place] if struts else None for place in self._struts]
        failed = [world[fault] is not None for fault in self.faults]
        if self._fed:
            failed = [
                bad or world[antiskid_working(number)] is not True
                for number, bad in enumerate(failed)
            ]
        spun_up = tuple([world[threshold] is True for threshold in self._spun_up])
        tested_s = self._test(now_s, running)
        protections = self.memory.protections
        if self._parameters.touchdown_protection:  # it follows the wheels while anti-skid is off
            timeout_s = self._parameters.touchdown_timeout_s
            protections = protect(protections, now_s, grounds, spun_up, sides, timeout_s)
        self.memory = _AntiskidMemory(protections, switch, running, tested_s)
        self.due_s = min(tested_s, *[one.due_s for one in protections])
        blocked = blocked_wheels(protections, sides)
        can = running and not brakes.emergency_braking
        ready = can and not brakes.is_parked
        armed = [
            ready and not bad and grounds[side] is True
            for bad, side in zip(failed, sides, strict=True)
        ]
        watched = [
            ok and not block and brakes.side_fractions[side] > 0.0
            for ok, block, side in zip(armed, blocked, sides, strict=True)
        ]
        found = world[WheelLocksFacts].locked or (False,) * len(sides)
        locked = [ok and bad for ok, bad in zip(watched, found, strict=True)]
        testing = tested_s < inf
        wheels = [
            WheelFacts(
                running=running,
                failed=failed[number],
                testing=testing,
                active=armed[number] and spun_up[number],
                shut_off=locked[number] or (can and blocked[number] and not failed[number]),
                locked=locked[number],
            )
            for number in range(len(sides))
        ]
        facts = AntiskidFacts(
            wheels=tuple(wheels),
            spun_up=spun_up,
            watched=tuple(watched),
            switched_on=switch is True,
            powered=powered,
            parked=brakes.is_parked,
            gear_down=world[GearFacts].all_down,
            in_air=world[AirGroundFacts].air_for_warnings,
            testing=testing,
        )
        if facts != self.facts:
            self._note_changes(now_s, facts)
        return facts

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
            if WHEEL_RULES[0].holds(now) and not WHEEL_RULES[0].holds(was):
                self.note(now_s, "antiskid_failed", name)
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
        return tuple([failed_on(name) for name, wheel in wheels if wheel.running and wheel.failed])
