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
_ENERGY = Rule(
    "stored brake energy low", (("energy_low", True),), "lights the caution, 14 CFR 25.735(h)"
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
    lamps: tuple[Lamp, ...] = ()
    if parameters.parking_brake:
        lamps = (
            Lamp(
                *("parking_brake_amber", "parking brake not fully released", (_LEVER, _TRAPPED)),
                required=True,
            ),
            Lamp("takeoff_brake_red", "take-off with the parking brake on", TAKEOFF_RULES),
        )
    if parameters.needs_hydraulics:
        lamps += (Lamp("brake_energy_low_amber", "stored brake energy low", (_ENERGY,)),)
    return lamps


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
    left = facts.energy.at(world.now_s)
    details = {
        "lever_released": ("parking brake lever released", f"lever {facts.lever_word}"),
        "trapped": (
            "pressure in the released brakes",
            f"{against(psi, parameters.parking_residual_psi)} psi",
        ),
        "energy_low": (
            "stored brake energy low",
            f"{against(left, parameters.low_applications)} applications",
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
