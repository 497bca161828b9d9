"""Why a lamp is lit or the horn sounds: asks the rules that decided, with what they looked at.

Nothing is decided here. Every line comes from the rule and the condition object of the last step.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.logic.gear_lamps import HANDLE_RULES, LEG_LOCKED_DOWN, RED_RULES
from panelbridge.logic.gear_warning import SOUNDING_RULES, WARNING_RULES
from panelbridge.logic.lamps import HORN_TESTS, Tests, tests_of
from panelbridge.logic.rule import Decision, Told
from panelbridge.logic.systems import Systems
from panelbridge.signals import GearPosition, Reason

UP, DOWN = GearPosition.UP, GearPosition.DOWN
UNPOWERED = Reason(
    "rule: electrical power", False, "the bus has none: every lamp is dark, the horn is silent"
)
"""All that there is to say without electrical power."""


def decisions_of(
    name: str, systems: Systems, warning_tested: frozenset[str]
) -> tuple[Decision, ...]:
    """What decides the lamp ``name``, or the ``horn``.

    Args:
        name: of the output; there must be one.
        systems: as they stand after a step.
        warning_tested: the lamps that the gear warning test lights.
    """
    of_parts = [one for part in systems.parts for one in part.decisions(name)]
    if name == "horn":
        rules = (*SOUNDING_RULES, *systems.warning.ringing_rules)
        own: Sequence[Decision] = (
            Decision(rules, systems.warning.conditions, _warning_told(systems)),
        )
        return (*own, *of_parts, Decision(HORN_TESTS, _tests(systems), _tests_told(systems)))
    tests = Decision(tests_of(name, warning_tested), _tests(systems), _tests_told(systems))
    return (*_of_the_gear(name, systems), *of_parts, tests)


def _of_the_gear(name: str, systems: Systems) -> Sequence[Decision]:
    """What decides the handle's light or a lamp of a leg; empty when it is another lamp."""
    locks = systems.gear.locks
    if name == "handle_red":
        agreement = systems.gear.agreement(systems.handle)
        return (
            Decision(HANDLE_RULES, agreement, _agreement_told(systems)),
            Decision(WARNING_RULES, systems.warning.conditions, _warning_told(systems)),
        )
    for number, leg in enumerate(systems.parameters.legs):
        if name in (f"{leg.name}_green", f"{leg.name}_red"):
            rules = (LEG_LOCKED_DOWN,) if name.endswith("_green") else RED_RULES
            told = {
                "is_down": (locks.told(number, DOWN),),
                "is_up": (locks.told(number, UP),),
                "in_transit": (locks.told_transit(number),),
            }
            return (Decision(rules, locks.sensed[number], told),)
    return ()


def _agreement_told(systems: Systems) -> Told:
    agreement = systems.gear.agreement(systems.handle)
    position = agreement.handle
    contacts = systems.switches.gear_handle.value
    handle = Reason("gear handle at one of its ends", position is not None, contacts)
    legs = _legs_told(systems, position) if position is not None else ()
    doors = Reason("doors of the gear latched", agreement.doors_latched)
    return {"agrees": (handle, *legs), "doors_latched": (doors,)}


def _legs_told(systems: Systems, end: GearPosition) -> Sequence[Reason]:
    locks = systems.gear.locks
    return [locks.told(number, end) for number in range(len(systems.parameters.legs))]


def _warning_told(systems: Systems) -> Told:
    selection, air_ground = systems.gear.selection, systems.air_ground
    aircraft, legs = systems.aircraft, systems.parameters.legs
    pairs = zip(legs, air_ground.struts, strict=True)
    heavy = ", ".join(leg.name for leg, compressed in pairs if compressed)
    handle = f"handle {systems.switches.gear_handle}"
    return systems.warning.told(
        aircraft.throttle_fraction,
        aircraft.flap_deg,
        _legs_told(systems, DOWN),
        (
            Reason("gear handle up and refused", selection.is_refused, handle),
            Reason("weight on a strut", air_ground.has_weight, heavy),
        ),
        airspeed_kias=aircraft.airspeed_kias,
        altitude_ft=aircraft.altitude_ft,
    )


def _tests(systems: Systems) -> Tests:
    switches = systems.switches
    return Tests(
        lamp_test=switches.lamp_test is True,
        warning_test=switches.warning_test is True,
        lamp_test_sounds=systems.parameters.lamps.lamp_test_sounds_horn,
    )


def _tests_told(systems: Systems) -> Told:
    tests = _tests(systems)
    sounds = Reason(
        "lamp test sounds the horn", tests.lamp_test_sounds, "lamps.lamp_test_sounds_horn"
    )
    return {
        "lamp_test": (Reason("lamp test held", tests.lamp_test),),
        "lamp_test_sounds": (sounds,),
        "warning_test": (Reason("gear warning test held", tests.warning_test),),
    }
