"""A parking brake that is not released in the air with the gear down: it would land on it.

Source: US Army TM 55-1510-215-10 (the parking brake shall not be set in flight); that there is a
caution, and when, is common practice, no source. What is unknown of air or ground leaves it as it
is: neither a stand without data nor a flight that loses them changes it.
"""

from __future__ import annotations

from typing import Self

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.declarations import Group, HornRule, Lamp
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.landing_brake.facts import LandingBrakeFacts
from panelbridge.logic.landing_brake.parameters import LandingBrakeParameters
from panelbridge.signals import HornPattern, Level, Reason

RULE = Rule(
    "parking brake not released before landing",
    (("in_air", True), ("gear_down", True), ("parked", True)),
    "warns of a landing with the parking brake on",  # US Army TM 55-1510-215-10
)


class LandingBrake(System[LandingBrakeFacts]):
    """The warning.

    Args:
        parameters: its numbers.
    """

    title = "Brakes"
    groups = (
        Group(
            "landing_brake",
            LandingBrakeParameters,
            "Warning of a landing with the parking brake set.",
            LandingBrakeParameters(),
        ),
    )
    events = {
        "landing_brake_warned": (
            Level.CAUTION,
            "in the air with the gear down the parking brake is not released",
        ),
    }
    lamps = (
        Lamp(
            "landing_brake_amber", "parking brake set before landing", (RULE,), legend="BRAKE SET"
        ),
    )

    def __init__(self, parameters: LandingBrakeParameters) -> None:
        super().__init__()
        if parameters.horn_pattern != "silent":
            self.horn = (HornRule(RULE, HornPattern(parameters.horn_pattern)),)
        self.facts = LandingBrakeFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without a parking brake, or that wants no warning."""
        parameters = build.aircraft.group(LandingBrakeParameters)
        brakes = build.aircraft.optional(BrakesParameters)
        has_brake = brakes is not None and brakes.parking_brake
        return cls(parameters) if parameters.caution and has_brake else None

    def update(self, now_s: float, world: World) -> LandingBrakeFacts:
        """Follow air or ground, the legs and the parking brake."""
        before, on_ground = self.facts, world[AirGroundFacts].on_ground
        in_air = before.in_air if on_ground is None else not on_ground
        gear_down = in_air and world[GearFacts].all_down  # on the ground nothing else is looked at
        parked = gear_down and world[BrakesFacts].is_parked
        facts = LandingBrakeFacts(in_air, gear_down, parked)
        if RULE.holds(facts) and not RULE.holds(before):
            self.note(now_s, "landing_brake_warned")
        return facts

    def words(self, world: World) -> Words:
        """The conditions in words."""
        facts = world[LandingBrakeFacts]
        return {
            "in_air": (Reason("in the air", facts.in_air),),
            "gear_down": (Reason("in the air with the gear locked down", facts.gear_down),),
            "parked": (Reason("in the air, gear down, parking brake not released", facts.parked),),
        }
