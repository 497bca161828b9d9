"""What lights the lamps of the brakes, and their words."""

from __future__ import annotations

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import greater_known
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi
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


def brake_lamps(parameters: BrakesParameters) -> tuple[Lamp, ...]:
    """The lamps of the brakes of an aircraft; 14 CFR 25.735(d) asks for the first."""
    if not parameters.parking_brake:
        return ()
    return (
        Lamp(
            *("parking_brake_amber", "parking brake not fully released", (_LEVER, _TRAPPED)),
            required=True,
            legend="PARK BRAKE",
        ),
        Lamp("parking_brake_holds_green", "parking brake holds", (_HOLDS,), legend="PARK HOLDS"),
    )


def brake_words(world: World, parameters: BrakesParameters, *, fed_pressure: bool) -> Words:
    """The conditions of all these rules in words.

    Args:
        world: the world.
        parameters: the numbers of the brakes.
        fed_pressure: the feed is the authority for the pressure in the brakes.
    """
    facts = world[BrakesFacts]
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
    }
    return {
        field: (Reason(condition, getattr(facts, field), detail),)
        for field, (condition, detail) in details.items()
    }
