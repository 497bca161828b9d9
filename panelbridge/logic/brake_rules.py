"""What lights the lamps of the brakes and sounds the horn for them, and what they publish."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from panelbridge.logic.brake_parameters import BrakesParameters
from panelbridge.logic.rule import Rule
from panelbridge.logic.system import ValueInfo


@dataclass(frozen=True, slots=True)
class BrakeConditions:
    """All that decides the lamps and the horn.

    Attributes:
        lever_released: the parking-brake lever is known to be fully released.
        trapped: the lever is released, and there is still pressure in the brakes.
        energy_low: few full applications are left in the accumulator.
        thrust_high: a throttle lever is beyond the take-off setting.
        on_ground: the aircraft is on the ground, or nobody knows.
    """

    lever_released: bool
    trapped: bool
    energy_low: bool
    thrust_high: bool
    on_ground: bool


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


def brake_lamps(parameters: BrakesParameters) -> Mapping[str, tuple[Rule, ...]]:
    """The lamps of an aircraft's brakes, with their rules."""
    lamps: dict[str, tuple[Rule, ...]] = {}
    if parameters.parking_brake:
        lamps["parking_brake_amber"] = (_LEVER, _TRAPPED)
        lamps["takeoff_brake_red"] = TAKEOFF_RULES
    if parameters.needs_hydraulics:
        lamps["brake_energy_low_amber"] = (_ENERGY,)
    return lamps


def brake_values(
    parameters: BrakesParameters, *, told_pressure: bool = False
) -> tuple[ValueInfo, ...]:
    """The values of an aircraft's brakes.

    Args:
        parameters: their numbers.
        told_pressure: the feed tells the pressure, which may be any.
    """
    psi = inf if told_pressure else parameters.full_psi
    infos = [
        ValueInfo("left_brake_psi", "number", "left brake", "psi", (), 0.0, psi),
        ValueInfo("right_brake_psi", "number", "right brake", "psi", (), 0.0, psi),
    ]
    if parameters.needs_hydraulics:
        applications = parameters.full_applications
        words = "brake applications left"
        infos.append(
            ValueInfo("brake_applications_left", "number", words, "", (), 0.0, applications)
        )
    if parameters.parking_brake:
        words_of_it = ("released", "partly", "set", "not_set", "bled_down", "trapped")
        infos.append(ValueInfo("parking_brake", "word", "parking brake", "", words_of_it))
    return tuple(infos)
