"""Lamps of the legs, and the rules of all lamps of the gear, over ``GearFacts`` and ``LegFacts``.

Sources: 14 CFR 25.729(e)(1) (no erroneous indication of locked), 25.729(e)(7) (alert whenever the
gear disagrees with its lever), 25.1555(d) (locked up, not locked and locked down are distinct at
any time), US Navy P-307 (the light in the handle burns too while a door is not latched), US Army
TM 55-1510-221-10 (red in transit does not hang on the switch of the green). Dark is locked up, red
is not locked, green is locked down.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.kit.declarations import Lamp
from panelbridge.logic.kit.rule import Rule

LEG_LOCKED_DOWN = Rule(
    "leg locked down", (("is_down", True), ("in_transit", False)), "lights the green"
)
LEG_NOT_LOCKED = Rule("leg not locked", (("is_down", False), ("is_up", False)), "lights the red")
LEG_IN_TRANSIT = Rule(
    "leg sensed in transit",
    (("in_transit", True),),
    "lights the red whatever the lock switches say",
)
RED_RULES = (LEG_NOT_LOCKED, LEG_IN_TRANSIT)

GEAR_DISAGREES = Rule(
    "gear not locked where the handle stands",
    (("agrees", False),),
    "lights the handle, 14 CFR 25.729(e)(7)",
)
DOOR_NOT_LATCHED = Rule(
    "door of the gear not latched", (("doors_latched", False),), "lights the handle"
)
HANDLE_RULES = (GEAR_DISAGREES, DOOR_NOT_LATCHED)

# Source: US Army TM 55-1510-222-10.
POWER_CUT_OFF = Rule(
    "gear power cut off by its travel limit",
    (("cut_off", True),),
    "lights the caution until the reset",
)
NO_POWER = Rule(
    "gear commanded and no power for it",
    (("wanted", True), ("supplied", False)),
    "the legs stay where they are",
)
POWER_RULES = (POWER_CUT_OFF, NO_POWER)


def leg_lamps(names: Sequence[str]) -> tuple[Lamp, ...]:
    """Green and red of each leg."""

    def leg(place: int) -> Callable[[GearFacts], LegFacts]:
        return lambda facts: facts.legs[place]

    greens = [
        Lamp(
            f"{name}_green",
            f"{name.replace('_', ' ')} leg locked down",
            (LEG_LOCKED_DOWN,),
            True,
            leg(place),
            True,
            legend=name.replace("_", " ").upper(),
        )
        for place, name in enumerate(names)
    ]
    reds = [
        Lamp(
            f"{name}_red",
            f"{name.replace('_', ' ')} leg not locked",
            RED_RULES,
            True,
            leg(place),
            True,
            legend=name.replace("_", " ").upper(),
        )
        for place, name in enumerate(names)
    ]
    return (*greens, *reds)
