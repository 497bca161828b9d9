"""What the brakes publish by name, their gauge, and what they ask of the simulator."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import CommandSignal, Gauge, Signal
from panelbridge.logic.kit.world import World
from panelbridge.signals import Value


def brake_values(parameters: BrakesParameters, *, fed_pressure: bool = False) -> tuple[Signal, ...]:
    """The values of the brakes of an aircraft.

    Args:
        parameters: their numbers.
        fed_pressure: the feed is the authority for the pressure, which may be any.
    """
    values = []
    for place, side in enumerate(SIDES):
        curve = None if fed_pressure else _psi_curve(place, parameters.full_psi)
        read = _fed_psi(place) if fed_pressure else _psi(place, parameters.full_psi)
        values.append(
            Signal(
                *(f"{side}_brake_psi", "number", f"{side} brake", read, "psi"),
                low=0.0,
                high=inf if fed_pressure else parameters.full_psi,
                curve=curve,
            )
        )
    if parameters.needs_hydraulics:
        values.append(
            Signal(
                *("brake_applications_left", "number", "brake applications left", _left),
                low=0.0,
                high=parameters.full_applications,
                curve=_energy,
            )
        )
    if parameters.parking_brake:
        values.append(
            Signal(
                *("parking_brake_state", "word", "parking brake"),
                lambda world: world[BrakesFacts].parking_word,
                words=("released", "partly", "set", "not_set", "bled_down", "trapped"),
            )
        )
    return tuple(values)


def brake_gauges(parameters: BrakesParameters) -> tuple[Gauge, ...]:
    """The gauge of the accumulator."""
    if not parameters.needs_hydraulics:
        return ()
    return (Gauge("brake_accumulator", "brake applications left", "", 0.1, _left, _energy),)


def brake_commands(parameters: BrakesParameters) -> tuple[CommandSignal, ...]:
    """The brake of each wheel, and the parking brake."""
    sides = [SIDES.index(wheel.side) for wheel in parameters.wheels]
    return (
        CommandSignal(
            "brake_fraction",
            "brake of each wheel, 0 to 1",
            lambda world: wheel_fractions(world, sides),
        ),
        CommandSignal(
            "parking_brake",
            "the parking brake holds",
            lambda world: world[BrakesFacts].parking_holds,
        ),
    )


def wheel_fractions(world: World, sides: Sequence[int]) -> tuple[float, ...]:
    """How much each wheel is braked, 0 to 1, in steps, in the order of the aircraft file.

    Anti-skid can shut off the pedals, neither the parking brake nor the emergency brake.

    Args:
        world: the world.
        sides: of each wheel: left (0) or right (1).
    """
    facts, wheels = world[BrakesFacts], world[AntiskidFacts].wheels
    fractions = []
    for number, side in enumerate(sides):
        shut = number < len(wheels) and wheels[number].shut_off and not facts.emergency_braking
        pressed = 0.0 if shut else facts.side_fractions[side]
        fractions.append(max(pressed, facts.parked_fraction))
    return tuple(fractions)


def _fed_psi(place: int) -> Callable[[World], Value]:
    return lambda world: world[brake_pressure_psi(place)]


def _psi(place: int, full_psi: float) -> Callable[[World], Value]:
    def read(world: World) -> Value:
        facts = world[BrakesFacts]
        return max(facts.side_fractions[place] * full_psi, facts.parking_psi.at(world.now_s))

    return read


def _psi_curve(place: int, full_psi: float) -> Callable[[World], Line | None]:
    def curve(world: World) -> Line | None:
        facts = world[BrakesFacts]
        line, low = facts.parking_psi, facts.side_fractions[place] * full_psi
        if not line.rate or line.at(world.now_s) <= low:
            return None
        return Line(line.since_s, line.start, line.rate, low)

    return curve


def _left(world: World) -> float:
    return world[BrakesFacts].energy.at(world.now_s)


def _energy(world: World) -> Line:
    return world[BrakesFacts].energy
