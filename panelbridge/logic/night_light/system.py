"""Night light: a light over the gear handle, so that a hand finds it in the dark.

It burns while the night switch is on, or the dimmer knob is turned down. A switch that is unknown
lights nothing: by day nobody misses the light. It hangs on the bus as every lamp does.

Common practice, no source.
"""

from __future__ import annotations

from typing import Self

from panelbridge.logic.kit.declarations import Group, Lamp
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import DIMMER, NIGHT
from panelbridge.logic.night_light.facts import NightLightFacts
from panelbridge.logic.night_light.parameters import NightLightParameters
from panelbridge.signals import Reason

_RULES = (
    Rule("night", (("night", True),), "lights the gear handle"),
    Rule("dimmer turned down", (("turned_down", True),), "lights the gear handle"),
)


class NightLight(System[NightLightFacts]):
    """The light over the gear handle.

    Args:
        parameters: its numbers.
    """

    groups = (
        Group(
            "night_light", NightLightParameters, "Light over the gear handle that burns at night."
        ),
    )
    lamps = (
        Lamp("handle_light_white", "light over the gear handle", _RULES, legend="HANDLE LIGHT"),
    )

    def __init__(self, parameters: NightLightParameters) -> None:
        super().__init__()
        limit = parameters.dimmer_at_most_fraction
        self._turned_up = None
        if limit is not None:
            play = parameters.dimmer_play_fraction
            self._turned_up = Threshold(DIMMER, limit + play, limit)
            self.readings = (self._turned_up,)
        self.facts = NightLightFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without the light."""
        parameters = build.aircraft.optional(NightLightParameters)
        return None if parameters is None else cls(parameters)

    def update(self, now_s: float, world: World) -> NightLightFacts:
        """Look at the night switch and at the knob."""
        up = self._turned_up
        return NightLightFacts(world[NIGHT] is True, up is not None and world[up] is False)

    def words(self, world: World) -> Words:
        """Both switches in words."""
        facts, knob = world[NightLightFacts], world[DIMMER]
        at = "unknown" if knob is None else f"{knob:.0%}"
        return {
            "night": (Reason("night switch on", facts.night),),
            "turned_down": (Reason("dimmer knob turned down", facts.turned_down, at),),
        }
