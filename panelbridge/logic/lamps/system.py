"""The switches over the lamps: dimmer, night, lamp test and gear warning test.

It is the last of the order: it knows the lamps of all systems before it, and explains the tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Self

from panelbridge.logic.gear_warning.facts import CONTROLS
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.declarations import Group
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.rule import Decision, Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import (
    DIMMER,
    LAMP_TEST,
    NIGHT,
    OVER_LAMPS,
    WARNING_TEST,
    LampFacts,
)
from panelbridge.logic.lamps.parameters import LampParameters
from panelbridge.signals import HornPattern, Level, Reason

TEST_RULE = Rule("lamp test", (("lamp_test", True),), "lights every lamp fully")
WARNING_TEST_RULE = Rule(
    "gear warning test", (("warning_test", True),), "lights the lamps of the gear"
)
HORN_TESTS = (
    Rule("lamp test", (("lamp_test", True), ("lamp_test_sounds", True)), "sounds the horn"),
    Rule(
        "gear warning test", (("warning_test", True), ("test_silenced", False)), "sounds the horn"
    ),
)


class Lamps(System[LampFacts]):
    """The switches over the lamps.

    Args:
        parameters: brightness, flashing and tests.
        warning_tested: the lamps that the gear warning test lights.
        test_pattern: how the horn sounds in a test.
        silences: the buttons that silence the horn.
    """

    groups = (
        Group(
            "lamps",
            LampParameters,
            "Brightness, flashing and tests of the lamps.",
            LampParameters(),
        ),
    )
    events = {
        "lamp_test_started": (Level.INFO, "the lamp test began"),
        "lamp_test_ended": (Level.INFO, "the lamp test ended"),
        "warning_test_started": (Level.INFO, "the gear warning test began"),
        "warning_test_ended": (Level.INFO, "the gear warning test ended"),
    }
    switches = OVER_LAMPS

    def __init__(
        self,
        parameters: LampParameters,
        warning_tested: frozenset[str],
        test_pattern: HornPattern = HornPattern.INTERMITTENT,
        silences: tuple[Button, ...] = (),
    ) -> None:
        super().__init__()
        self._silences = silences if parameters.silence_stops_test else ()
        self.memory = (RisingEdge(),) * len(self._silences)
        self.test_pattern = test_pattern
        self.parameters = parameters
        self.warning_tested = warning_tested
        self.facts = LampFacts(lamp_test_sounds=parameters.lamp_test_sounds_horn)

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has lamps."""
        parameters = build.aircraft.group(LampParameters)
        tested = {
            lamp.name
            for system in build.earlier
            for lamp in system.lamps
            if lamp.warning_tested
            and (parameters.warning_test_lights == "gear_lamps" or lamp.colour == "red")
        }
        warning = build.aircraft.group(GearWarningParameters)
        silences = tuple([CONTROLS[name] for name in warning.silence_controls])
        return cls(parameters, frozenset(tested), HornPattern(warning.throttle_pattern), silences)

    def update(self, now_s: float, world: World) -> LampFacts:
        """Take the switches over the lamps, and the electrical power."""
        before, testing = self.facts, world[WARNING_TEST] is True
        buttons = tuple(
            [edge.take(world[one]) for edge, one in zip(self.memory, self._silences, strict=True)]
        )
        pressed = any(was.rises(now) for was, now in zip(self.memory, buttons, strict=True))
        self.memory = buttons
        facts = LampFacts(
            world[DIMMER],
            world[NIGHT] is True,
            world[LAMP_TEST] is True,
            testing,
            testing and (before.test_silenced or pressed),
            before.lamp_test_sounds,
            world[BUS_POWERED] is not False,
        )
        if facts.lamp_test is not before.lamp_test:
            self.note(now_s, "lamp_test_started" if facts.lamp_test else "lamp_test_ended")
        if facts.warning_test is not before.warning_test:
            self.note(now_s, "warning_test_started" if facts.warning_test else "warning_test_ended")
        return facts

    def decisions(self, output: str, world: World) -> Sequence[Decision]:
        """The tests that put an output on: any lamp, and the horn."""
        if output == "horn":
            rules: tuple[Rule, ...] = HORN_TESTS
        elif output in self.warning_tested:
            rules = (TEST_RULE, WARNING_TEST_RULE)
        else:
            rules = (TEST_RULE,)
        return (Decision(rules, world[LampFacts], self.words(world)),)

    def sounding(self) -> tuple[str, ...]:
        """The tests that sound the horn."""
        return tuple([rule.name for rule in HORN_TESTS if rule.holds(self.facts)])

    def words(self, world: World) -> Words:
        """The tests in words."""
        facts = world[LampFacts]
        sounds = Reason(
            "lamp test sounds the horn",
            facts.lamp_test_sounds,
            "set by lamps.lamp_test_sounds_horn",
        )
        return {
            "lamp_test": (Reason("lamp test held", facts.lamp_test),),
            "lamp_test_sounds": (sounds,),
            "warning_test": (Reason("gear warning test held", facts.warning_test),),
            "test_silenced": (
                Reason(
                    "horn of the test silenced",
                    facts.test_silenced,
                    "allowed by lamps.silence_stops_test",
                ),
            ),
        }
