"""Wheel brakes: the pressure that pedals, parking brake and emergency brake ask for and get.

Each pedal brakes its side. The emergency brake presses both sides equally, by air, and takes the
place of the pedals while it does. None of them has more pressure than its source. One lamp of the
parking brake shows that it is *not fully released*, also while its sensor is lost (14 CFR
25.735(d)); another shows that it holds. What each of them asks for changes in steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Any, Self

from msgspec import Struct

from panelbridge.logic.brakes.facts import BRAKE_STEPS, BrakesFacts, BrakeSupplyFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.parking import Parking, ParkingBrake, ParkingChart
from panelbridge.logic.brakes.parking_source import parking_source
from panelbridge.logic.brakes.pedals import BrakePedalsFacts
from panelbridge.logic.brakes.pressing import Pressing, press_by_air
from panelbridge.logic.brakes.pressures import fraction_of, seen_psi
from panelbridge.logic.brakes.rules import brake_lamps, brake_words
from panelbridge.logic.brakes.values import PARKING_COMMANDS, PARKING_VALUES, never_noted
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi
from panelbridge.logic.kit.declarations import Group, Misfit
from panelbridge.logic.kit.handles import Fault, Lever
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level

PARKING_BRAKE = Lever(
    "parking_brake",
    "parking brake",
    "Parking-brake lever; closed, or at its upper end, it is set.",
    required=True,
    by_contact=True,
)
EMERGENCY_BRAKE = Lever(
    "emergency_brake",
    "emergency brake",
    "Emergency-brake lever; closed, or at its upper end, it is fully pulled.",
    required=True,
    by_contact=True,
    stays=True,
)
PARKING_FAULT = Fault("parking_brake", ("sticking",))


class _BrakesMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        pressing: the emergency brake.
        parking: the parking brake.
    """

    pressing: Pressing = Pressing()
    parking: Parking = Parking()


class Brakes(System[BrakesFacts]):
    """All brakes.

    Args:
        parameters: their numbers.
        fed_pressure: the feed is the authority for the pressure in the brakes.
    """

    title = "Brakes"
    groups = (
        Group(
            "brakes",
            BrakesParameters,
            "Wheel brakes; null when the panel has nothing to do with them.",
        ),
    )
    charts = (ParkingChart,)
    switches = (PARKING_BRAKE, EMERGENCY_BRAKE)
    events = {
        "parking_brake_set": (Level.INFO, "the parking brake was set"),
        "parking_brake_released": (Level.INFO, "the parking brake was released"),
        "parking_brake_not_set": (
            Level.CAUTION,
            "the parking brake was not set: there is no pressure for it",
        ),
        "parking_brake_bled_down": (
            Level.WARNING,
            "the parking brake has bled down and no longer holds",
        ),
        "parking_brake_holds_again": (Level.INFO, "the parking brake has pressure and holds again"),
        "parking_brake_trapped": (Level.FAULT, "the parking brake did not release its pressure"),
        "emergency_brake_pulled": (Level.WARNING, "the emergency brake was pulled"),
        "emergency_brake_released": (Level.INFO, "the emergency brake was released"),
    }
    memory: _BrakesMemory

    def __init__(self, parameters: BrakesParameters, *, fed_pressure: bool = False) -> None:
        super().__init__()
        self._parameters = parameters
        self._fed = fed_pressure
        self._parking = ParkingBrake(parameters)
        residual_psi = parameters.parking_residual_psi
        self._fed_trapped = [
            Threshold(brake_pressure_psi(side), residual_psi)
            for side in range(2 if fed_pressure else 0)
        ]
        self.readings = tuple(self._fed_trapped)
        self.switches = (
            *((PARKING_BRAKE,) if parameters.parking_brake else ()),
            *((EMERGENCY_BRAKE,) if parameters.emergency_brake else ()),
        )
        self.faults = (PARKING_FAULT,) if parameters.parking_brake else ()
        self.lamps = brake_lamps(parameters)
        self.values = PARKING_VALUES if parameters.parking_brake else ()
        self.commands = PARKING_COMMANDS
        self.never_notes(*never_noted(parameters, self.events))
        self.memory = _BrakesMemory()
        self.facts = BrakesFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None when the panel has nothing to do with them."""
        aircraft = build.aircraft
        parameters = aircraft.optional(BrakesParameters)
        if parameters is None:
            return None
        return cls(parameters, fed_pressure=aircraft.authority.brakes == "feed")

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A parking brake that no supply serves, and an emergency brake without a bottle."""
        parameters = aircraft.optional(BrakesParameters)
        if parameters is None:
            return
        needs_line = parameters.needs_hydraulics and not parameters.parking_needs_pedals
        if needs_line and parameters.parking_brake:
            yield from unserved(aircraft, ("brakes", "parking_brake"), "parking_brake")
        emergency = aircraft.optional(EmergencyParameters)
        has_bottle = emergency is not None and emergency.means == "air"
        if parameters.emergency_brake and not has_bottle:
            what = "the emergency brake works by the air of a bottle, and the aircraft has none"
            hint = "Write 'emergency_brake: false', or add 'emergency: { means: air }'"
            yield Misfit(("brakes", "emergency_brake"), what, hint)

    def update(self, now_s: float, world: World) -> BrakesFacts:
        """Follow pedals and levers, as far as there is pressure for them."""
        parameters, memory = self._parameters, self.memory
        pressing, air_s = memory.pressing, inf
        if parameters.emergency_brake:
            pressing = self._press_by_air(now_s, pressing, world)
        if pressing.air:
            air = world[EmergencyFacts].air
            most_psi, air_s = seen_psi(air, air.rate, now_s)
            asked = (pressing.air, pressing.air)
        else:
            asked, most_psi = world[BrakePedalsFacts].steps, self._pedals_psi(world)
        full_psi = parameters.full_psi
        left_psi, right_psi = [min(full_psi * step / BRAKE_STEPS, most_psi) for step in asked]
        parking, parking_steps = memory.parking, 0
        if parameters.parking_brake:
            source = parking_source(parameters, world, min(left_psi, right_psi))
            sticks = world[PARKING_FAULT] is not None
            parking = self._parking.update(
                now_s, parking, world[PARKING_BRAKE], source, self.note, sticks=sticks
            )
            if not parameters.parking_needs_pedals:
                parking_steps = self._parking.steps(parking, source)
        self.memory = memory = _BrakesMemory(pressing, parking)
        self.due_s = min(air_s, parking.pressure.due_s)
        return self._conclude(now_s, memory, (left_psi, right_psi), parking_steps, world)

    def _pedals_psi(self, world: World) -> float:
        parameters = self._parameters
        if not parameters.needs_hydraulics:
            return parameters.full_psi
        return world[BrakeSupplyFacts].pedals_psi

    def _press_by_air(self, now_s: float, pressing: Pressing, world: World) -> Pressing:
        lever, before = world[EMERGENCY_BRAKE], pressing.air > 0
        now = press_by_air(pressing, lever, self._parameters, lambda: world[EmergencyFacts].has_air)
        if (now.air > 0) is not before:
            self.note(now_s, "emergency_brake_released" if before else "emergency_brake_pulled")
        return now

    def _conclude(
        self,
        now_s: float,
        memory: _BrakesMemory,
        side_psi: tuple[float, float],
        parking_steps: int,
        world: World,
    ) -> BrakesFacts:
        parking, pressing, rules = memory.parking, memory.pressing, self._parking
        psi, full_psi = parking.pressure.at(now_s), self._parameters.full_psi
        left_psi, right_psi = side_psi
        released = parking.lever == "released"
        fed_trapped = any(world[one] is True for one in self._fed_trapped)
        pressed = any(side_psi) or pressing.air > 0
        return BrakesFacts(
            side_psi=side_psi,
            side_fractions=(fraction_of(left_psi, full_psi), fraction_of(right_psi, full_psi)),
            parked_fraction=rules.fraction(psi),
            parking_steps=parking_steps,
            emergency_braking=pressing.air > 0,
            air_steps=pressing.air_steps,
            is_parked=rules.is_parked(parking, psi),
            parking_holds=rules.holds(psi),
            parking_word=rules.word(parking, psi),
            parking_psi=parking.pressure.line,
            lever_word=parking.lever,
            lever_released=released,
            trapped=rules.is_trapped(parking, psi) or (fed_trapped and released and not pressed),
        )

    def words(self, world: World) -> Words:
        """The conditions in words."""
        return brake_words(world, self._parameters, fed_pressure=self._fed)

    def failures(self) -> tuple[str, ...]:
        """Pressure that the released parking brake did not release."""
        return ("pressure is trapped in the released brakes",) if self.facts.trapped else ()
