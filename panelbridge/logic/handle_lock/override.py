"""The guarded override of the squat switches: a gear that a stuck one would hold down retracts.

Source: US Army TM 55-1510-220-10, TM 55-1510-222-10 (a button overrides the down-lock hook; used
on the ground with the handle up the horn sounds and the handle is lit). Theirs frees the handle
alone. That ours opens the retract circuit too, and only while a squat switch or the airspeed says
that the aircraft flies, is our own decision: with every strut compressed it moves nothing. Once in
use it lasts as long as the handle is up, so that letting the button go turns no leg round; it ends
with the handle down, or when the squat switches agree again. No warning looks at it.
"""

from __future__ import annotations

from math import inf
from typing import Self

from panelbridge.logic.air_ground.facts import AirGroundFacts, SquatOverrideFacts
from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS
from panelbridge.logic.kit.declarations import Lamp
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.readings import Threshold, below
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, Level, Reason

SQUAT_OVERRIDE = Button(
    "squat_override",
    "squat-switch override",
    "Held, under a guard: the gear may retract though a squat switch that sticks says ground.",
)
_IN_USE = Rule("squat switches overridden", (("in_use", True),), "lights the caution")


class SquatOverride(System[SquatOverrideFacts]):
    """The override.

    Args:
        parameters: the numbers of air/ground sensing.
    """

    title = "Handle lock"
    switches = (SQUAT_OVERRIDE,)
    lamps = (
        Lamp(
            "squat_override_amber", "squat switches overridden", (_IN_USE,), legend="SQUAT OVERRIDE"
        ),
    )
    events = {
        "squat_override_used": (
            Level.CAUTION,
            "the squat switches are overridden: the gear may retract",
        ),
        "squat_override_ended": (Level.INFO, "the squat switches are no longer overridden"),
        "squat_override_refused": (
            Level.CAUTION,
            "the squat switches were not overridden: nothing says that the aircraft flies",
        ),
    }
    memory: RisingEdge

    def __init__(self, parameters: AirGroundParameters) -> None:
        super().__init__()
        from_kias = parameters.override_from_kias
        self._fast = Threshold(AIRSPEED_KIAS, inf if from_kias is None else below(from_kias))
        self.readings = (self._fast,)
        self.memory = RisingEdge()
        self.facts = SquatOverrideFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without."""
        parameters = build.aircraft.group(AirGroundParameters)
        return cls(parameters) if parameters.retract_override else None

    def update(self, now_s: float, world: World) -> SquatOverrideFacts:
        """Follow the button, the struts and the handle."""
        before, button = self.facts, self.memory.take(world[SQUAT_OVERRIDE])
        pressed = self.memory.rises(button)
        self.memory = button
        if not (button.holds or before.in_use):
            return SquatOverrideFacts()
        struts = world[AirGroundFacts].struts
        may = any(one is False for one in struts) or world[self._fast] is True
        agree = None not in struts and not any(struts)  # all of them say air: nothing to override
        handle = world[GearFacts].last_handle
        lasts = button.holds or (before.in_use and handle is GearPosition.UP)
        in_use = may and not agree and lasts
        if in_use is not before.in_use:
            self.note(now_s, "squat_override_used" if in_use else "squat_override_ended")
        elif pressed and not may:
            self.note(now_s, "squat_override_refused")
        if not in_use and not button.holds:
            return SquatOverrideFacts()
        return SquatOverrideFacts(in_use, button.holds, may)

    def words(self, world: World) -> Words:
        """The condition in words."""
        facts = world[SquatOverrideFacts]
        detail = "button held" if facts.pressed else "until the handle is down"
        return {
            "in_use": (
                Reason("squat switches overridden", facts.in_use, detail if facts.in_use else ""),
            )
        }
