"""Anti-skid that is on while the brakes draw on an accumulator: its work empties that.

Its valve gives the fluid of a wheel that it lets go to the return line, and with the pumps lost no
pressure comes back: it has to be switched off (US Navy 1278BK1 and P-1239).
"""

from __future__ import annotations

from typing import Self

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.facts import AntiskidDrainFacts, BrakeSupplyFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.store import store_of
from panelbridge.logic.kit.declarations import Lamp
from panelbridge.logic.kit.overdue import Overdue
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level, Reason

RULE = Rule(
    "anti-skid on while the brakes draw on the accumulator",
    (("drains", True),),
    "lights the caution: anti-skid empties the accumulator",  # US Navy 1278BK1, P-1239
)


class AntiskidDrain(System[AntiskidDrainFacts]):
    """The caution.

    Args:
        limit_s: how long both may be so without it, s.
    """

    title = "Brakes"
    events = {
        "antiskid_drains_accumulator": (
            Level.CAUTION,
            "anti-skid is on and the brakes have only the accumulator, which it empties",
        ),
    }
    lamps = (
        Lamp(
            "antiskid_drains_amber",
            "anti-skid empties the accumulator",
            (RULE,),
            legend="SKID DRAINS",
        ),
    )
    memory: Overdue

    def __init__(self, limit_s: float) -> None:
        super().__init__()
        self._limit_s = limit_s
        self.memory = Overdue()
        self.facts = AntiskidDrainFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None without accumulator or anti-skid, or when the file wants no caution."""
        aircraft = build.aircraft
        brakes = aircraft.optional(BrakesParameters)
        antiskid = aircraft.optional(AntiskidParameters)
        if brakes is None or antiskid is None or antiskid.accumulator_caution_s is None:
            return None
        has_store = brakes.needs_hydraulics and store_of(aircraft) is not None
        return cls(antiskid.accumulator_caution_s) if has_store else None

    def update(self, now_s: float, world: World) -> AntiskidDrainFacts:
        """Follow the switch and the source of the pressure."""
        stored = world[BrakeSupplyFacts].source == "accumulator"
        drains = stored and world[AntiskidFacts].is_running
        self.memory = self.memory.take(now_s, drains, self._limit_s)
        self.due_s = self.memory.due_s
        if self.memory.holds and not self.facts.drains:
            self.note(now_s, "antiskid_drains_accumulator")
        return AntiskidDrainFacts(self.memory.holds)

    def words(self, world: World) -> Words:
        """The condition in words."""
        label = f"anti-skid on the accumulator for {self._limit_s:g} s"
        drains = world[AntiskidDrainFacts].drains
        return {"drains": (Reason(label, drains, "set by antiskid.accumulator_caution_s"),)}
