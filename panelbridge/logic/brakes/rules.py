"""What lights the lamps of the brakes and sounds the horn for them, and their words."""

from __future__ import annotations

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import greater_known
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi, throttle
from panelbridge.logic.kit.declarations import Lamp
from panelbridge.logic.kit.rule import Rule, Words, against
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

_LEVER = Rule(
    "parking brake lever not fully released",
    (("lever_released", False),),
    "lights the caution, 14 CFR 25.735(d)",
)
_TRAPPED = Rule(
    "pressure in the released brakes",
    (("trapped", True),),
    "lights the caution, 14 CFR 25.735(d)",
)
_HOLDS = Rule(
    "parking brake holds",
    (("parking_holds", True),),
    "pressure holds the wheels: amber without this lamp is a lever that does not hold",
)
TAKEOFF_RULES = tuple(
    Rule(
        f"take-off thrust: {rule.name}",
        (*rule.needs, ("thrust_high", True), ("on_ground", True)),
        "sounds the horn, CS 25.703(a)",
    )
    for rule in (_LEVER, _TRAPPED)
)


def brake_lamps(parameters: BrakesParameters) -> tuple[Lamp, ...]:
    """The lamps of the brakes of an aircraft; 14 CFR 25.735(d) asks for the first."""
    if not parameters.parking_brake:
        return ()
    return (
        Lamp(
            *("parking_brake_amber", "parking brake not fully released", (_LEVER, _TRAPPED)),
            required=True,
        ),
        Lamp("parking_brake_holds_green", "parking brake holds", (_HOLDS,)),
        Lamp("takeoff_brake_red", "take-off with the parking brake on", TAKEOFF_RULES),
    )


def brake_words(
    world: World, parameters: BrakesParameters, *, engines: int, fed_pressure: bool
) -> Words:
    """The conditions of all these rules in words.

    Args:
        world: the world.
        parameters: the numbers of the brakes.
        engines: number of throttle levers.
        fed_pressure: the feed is the authority for the pressure in the brakes.
    """
    facts = world[BrakesFacts]
    throttles = [world[throttle(number)] for number in range(engines)]
    thrust = max([one for one in throttles if one is not None], default=None)
    psi = facts.parking_psi.at(world.now_s)
    if fed_pressure:
        fed = greater_known(world[brake_pressure_psi(0)], world[brake_pressure_psi(1)])
        psi = max(psi, fed or 0.0)
    parked_psi = facts.parking_psi.at(world.now_s)
    details = {
        "lever_released": ("parking brake lever released", f"lever {facts.lever_word}"),
        "trapped": (
            "pressure in the released brakes",
            f"{against(psi, parameters.parking_residual_psi)} psi",
        ),
        "parking_holds": (
            "parking brake holds",
            f"{against(parked_psi, parameters.parking_hold_psi)} psi, lever {facts.lever_word}",
        ),
        "thrust_high": (
            "a throttle beyond take-off",
            "unknown" if thrust is None else against(thrust, parameters.takeoff_thrust_fraction),
        ),
        "on_ground": ("on the ground, or unknown", ""),
    }
    return {
        field: (Reason(condition, getattr(facts, field), detail),)
        for field, (condition, detail) in details.items()
    }
