"""Why a lamp is lit or the horn sounds: asks the rules that decided, with what they looked at.

Nothing is decided here. Every line comes from the rule and the condition object of the last step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelbridge.logic.air_ground import AirGround
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_lamps import (
    HANDLE_RULES,
    LEG_IN_TRANSIT,
    LEG_LOCKED_DOWN,
    LEG_NOT_LOCKED,
    Agreement,
)
from panelbridge.logic.gear_locks import GearLocks
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.logic.gear_warning import SOUNDING_RULES, WARNING_RULES, GearWarning
from panelbridge.logic.lamps import HORN_TESTS, Tests, tests_of
from panelbridge.logic.rule import Decision, Rule, Told
from panelbridge.logic.steering import STEERS, Steering
from panelbridge.signals import AircraftState, GearPosition, Reason, SwitchState

UP, DOWN = GearPosition.UP, GearPosition.DOWN
UNPOWERED = Reason(
    "rule: electrical power", False, "the bus has none: every lamp is dark, the horn is silent"
)
"""All that there is to say without electrical power."""


@dataclass(frozen=True, slots=True)
class Inside:
    """The systems as they stand after a step.

    Attributes:
        parameters: the aircraft's numbers.
        switches: of the last step.
        aircraft: of the last step.
        air_ground: the system.
        handle: the system.
        selection: the system.
        locks: the system.
        warning: the system.
        steering: the system.
        agreement: of the handle and the gear.
        tests: that lie over lamps and horn.
        warning_tested: the lamps that the gear warning test lights.
    """

    parameters: AircraftParameters
    switches: SwitchState
    aircraft: AircraftState
    air_ground: AirGround
    handle: GearHandle
    selection: GearSelection
    locks: GearLocks
    warning: GearWarning
    steering: Steering
    agreement: Agreement
    tests: Tests
    warning_tested: frozenset[str]

    def decisions(self, name: str) -> Sequence[Decision] | None:
        """What decides the lamp ``name`` or the horn; None when there is no such output."""
        if name == "horn":
            rules = (*SOUNDING_RULES, *self.warning.ringing_rules)
            return (
                Decision(rules, self.warning.conditions, self._warning_told()),
                Decision(HORN_TESTS, self.tests, self._tests_told()),
            )
        own = self._lamp(name)
        return own and (
            *own,
            Decision(tests_of(name, self.warning_tested), self.tests, self._tests_told()),
        )

    def _lamp(self, name: str) -> Sequence[Decision] | None:
        """What decides a lamp, without the tests."""
        if name == "handle_red":
            return (
                Decision(HANDLE_RULES, self.agreement, self._agreement_told()),
                Decision(WARNING_RULES, self.warning.conditions, self._warning_told()),
            )
        if name == "steering":
            return (Decision((STEERS,), self.steering.conditions, self._steering_told()),)
        for number, leg in enumerate(self.parameters.legs):
            if name == f"{leg.name}_green":
                rules: tuple[Rule, ...] = (LEG_LOCKED_DOWN,)
            elif name == f"{leg.name}_red":
                rules = (LEG_NOT_LOCKED, LEG_IN_TRANSIT)
            else:
                continue
            told = {
                "is_down": (self.locks.told(number, DOWN),),
                "is_up": (self.locks.told(number, UP),),
                "in_transit": (self.locks.told_transit(number),),
            }
            return (Decision(rules, self.locks.sensed[number], told),)
        return None

    def _agreement_told(self) -> Told:
        position = self.agreement.handle
        contacts = self.switches.gear_handle.value
        handle = Reason("gear handle at one of its ends", position is not None, contacts)
        legs = self._legs_told(position) if position is not None else ()
        doors = Reason("doors of the gear latched", self.agreement.doors_latched)
        return {"agrees": (handle, *legs), "doors_latched": (doors,)}

    def _legs_told(self, end: GearPosition) -> Sequence[Reason]:
        return [self.locks.told(number, end) for number in range(len(self.parameters.legs))]

    def _warning_told(self) -> Told:
        selection, air_ground = self.selection, self.air_ground
        heavy = [
            leg.name
            for leg, compressed in zip(self.parameters.legs, air_ground.struts, strict=True)
            if compressed
        ]
        return self.warning.told(
            self.aircraft.throttle_fraction,
            self.aircraft.flap_deg,
            self._legs_told(DOWN),
            (
                Reason("gear handle up and refused", selection.is_refused, self._handle_word()),
                Reason("weight on a strut", air_ground.has_weight, ", ".join(heavy)),
            ),
            airspeed_kias=self.aircraft.airspeed_kias,
            altitude_ft=self.aircraft.altitude_ft,
        )

    def _handle_word(self) -> str:
        return f"handle {self.switches.gear_handle}"

    def _steering_told(self) -> Told:
        conditions, leg = self.steering.conditions, self.parameters.steering.steering_leg
        assert leg is not None
        number = [one.name for one in self.parameters.legs].index(leg)
        weight = Reason(f"weight on the {leg} strut", conditions.has_weight)
        return {
            "held": (Reason("steering button held", conditions.held),),
            "pressed_anew": (Reason("steering button let go before", conditions.pressed_anew),),
            "has_weight": (weight,),
            "leg_down": (self.locks.told(number, DOWN),),
        }

    def _tests_told(self) -> Told:
        tests = self.tests
        sounds = Reason(
            "lamp test sounds the horn", tests.lamp_test_sounds, "lamps.lamp_test_sounds_horn"
        )
        return {
            "lamp_test": (Reason("lamp test held", tests.lamp_test),),
            "lamp_test_sounds": (sounds,),
            "warning_test": (Reason("gear warning test held", tests.warning_test),),
        }
