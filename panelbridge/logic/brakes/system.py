"""Wheel brakes: pedals, parking brake, emergency brake, stored energy.

The pedals brake each its side. The emergency brake presses both sides equally, by air, and takes
the place of the pedals while it does. The lamp of the parking brake shows that it is *not fully
released*, its sensor lost included (14 CFR 25.735(d)). What each of them asks for goes in steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Self

from panelbridge.logic.brakes.energy import Energy, follow_energy, full_energy, use_energy
from panelbridge.logic.brakes.facts import BRAKE_STEPS, BrakesFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.parking import Parking, ParkingBrake, ParkingChart
from panelbridge.logic.brakes.pedals import BrakePedalsFacts
from panelbridge.logic.brakes.pressing import Pressing, press_by_air, press_pedals
from panelbridge.logic.brakes.rules import brake_lamps, brake_words
from panelbridge.logic.brakes.values import brake_commands, brake_gauges, brake_values
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi
from panelbridge.logic.kit.declarations import Group, Misfit
from panelbridge.logic.kit.handles import Fault, Lever, Threshold
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
ACCUMULATOR_FAULT = Fault("brake_accumulator", ("empty",))


@dataclass(frozen=True, slots=True)
class _BrakesMemory:
    """What is kept between updates.

    Attributes:
        energy: the accumulator.
        pressing: pedals and emergency brake.
        parking: the parking brake.
    """

    energy: Energy
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
        "parking_brake_trapped": (Level.FAULT, "the parking brake did not release its pressure"),
        "emergency_brake_pulled": (Level.WARNING, "the emergency brake was pulled"),
        "emergency_brake_released": (Level.INFO, "the emergency brake was released"),
        "brake_energy_low": (Level.CAUTION, "the stored energy of the brakes is low"),
    }
    memory: _BrakesMemory

    def __init__(self, parameters: BrakesParameters, *, fed_pressure: bool = False) -> None:
        super().__init__()
        self._parameters = parameters
        self._fed = fed_pressure
        self._parking = ParkingBrake(parameters, self.note)
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
        self.faults = (
            *((PARKING_FAULT,) if parameters.parking_brake else ()),
            *((ACCUMULATOR_FAULT,) if parameters.needs_hydraulics else ()),
        )
        self.lamps = brake_lamps(parameters)
        self.values = brake_values(parameters, fed_pressure=fed_pressure)
        self.gauges = brake_gauges(parameters)
        self.commands = brake_commands(parameters)
        self.memory = _BrakesMemory(full_energy(parameters))
        self.facts = replace(BrakesFacts(), energy=self.memory.energy.left.line)

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
        """Pressure that no supply gives, and an emergency brake without a bottle."""
        parameters = aircraft.optional(BrakesParameters)
        if parameters is None:
            return
        if parameters.needs_hydraulics:
            yield from unserved(aircraft, ("brakes", "needs_hydraulics"), "wheel_brakes")
            if parameters.parking_brake:
                yield from unserved(aircraft, ("brakes", "parking_brake"), "parking_brake")
        emergency = aircraft.optional(EmergencyParameters)
        has_bottle = emergency is not None and emergency.means == "air"
        if parameters.emergency_brake and not has_bottle:
            what = "the emergency brake works by the air of a bottle, and the aircraft has none"
            hint = "Write 'emergency_brake: false', or add 'emergency: { means: air }'"
            yield Misfit(("brakes", "emergency_brake"), what, hint)

    def update(self, now_s: float, world: World) -> BrakesFacts:
        """Follow pedals and levers; take from the accumulator what no pump gives."""
        parameters, memory = self._parameters, self.memory
        supplied = self._is_supplied("wheel_brakes", world)
        broken = world[ACCUMULATOR_FAULT] is not None
        energy = follow_energy(now_s, memory.energy, parameters, charges=supplied, broken=broken)
        stored, steps = None if supplied else energy.left.at(now_s), world[BrakePedalsFacts].steps
        pressing, taken = press_pedals(memory.pressing, steps, stored)
        energy = use_energy(now_s, energy, taken, parameters)
        if parameters.emergency_brake:
            pressing = self._press_by_air(now_s, pressing, world)
        parking = memory.parking
        if parameters.parking_brake:
            supplied = self._is_supplied("parking_brake", world)
            parking, taken = self._parking.update(
                now_s,
                parking,
                world[PARKING_BRAKE],
                stored=None if supplied else energy.left.at(now_s),
                sticks=world[PARKING_FAULT] is not None,
            )
            energy = use_energy(now_s, energy, taken, parameters)
        self.memory = memory = _BrakesMemory(energy, pressing, parking)
        self.due_s = min(energy.left.due_s, parking.pressure.due_s)
        before, facts = self.facts, self._conclude(now_s, memory, world)
        if facts.energy_low and not before.energy_low and parameters.needs_hydraulics:
            self.note(now_s, "brake_energy_low")
        return facts

    def _is_supplied(self, consumer: str, world: World) -> bool:
        return not self._parameters.needs_hydraulics or world[HydraulicsFacts].serves(consumer)

    def _press_by_air(self, now_s: float, pressing: Pressing, world: World) -> Pressing:
        lever, before = world[EMERGENCY_BRAKE], pressing.air > 0
        now = press_by_air(pressing, lever, self._parameters, lambda: world[EmergencyFacts].has_air)
        if (now.air > 0) is not before:
            self.note(now_s, "emergency_brake_released" if before else "emergency_brake_pulled")
        return now

    def _conclude(self, now_s: float, memory: _BrakesMemory, world: World) -> BrakesFacts:
        parking, pressing, rules = memory.parking, memory.pressing, self._parking
        psi, (left, right) = parking.pressure.at(now_s), pressing.sides
        released = parking.lever == "released"
        fed_trapped = any(world[one] is True for one in self._fed_trapped)
        pressed = any(pressing.pressed) or pressing.air > 0
        return BrakesFacts(
            side_fractions=(left / BRAKE_STEPS, right / BRAKE_STEPS),
            parked_fraction=rules.fraction(psi),
            emergency_braking=pressing.air > 0,
            air_steps=pressing.air_steps,
            is_parked=rules.is_parked(parking, psi),
            parking_holds=rules.holds(psi),
            parking_word=rules.word(parking, psi),
            parking_psi=parking.pressure.line,
            energy=memory.energy.left.line,
            lever_word=parking.lever,
            lever_released=released,
            trapped=rules.is_trapped(parking, psi) or (fed_trapped and released and not pressed),
            energy_low=memory.energy.left.at(now_s) <= self._parameters.low_applications,
        )

    def words(self, world: World) -> Words:
        """The conditions in words."""
        return brake_words(world, self._parameters, fed_pressure=self._fed)

    def failures(self) -> tuple[str, ...]:
        """Pressure that the released parking brake did not release."""
        return ("pressure is trapped in the released brakes",) if self.facts.trapped else ()
