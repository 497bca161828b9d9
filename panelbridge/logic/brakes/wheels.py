"""One pressure for each wheel, after supply, emergency bottle, touchdown protection and anti-skid.

Anti-skid can shut off the pedals, neither the parking brake nor the emergency brake (AMT Handbook,
Airframe, ch. 13). A wheel that it lets go gives its fluid back, and asks for it again afterwards.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Self

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.brakes.facts import BrakesFacts, WheelBrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters
from panelbridge.logic.brakes.pedals import BrakePedalsFacts
from panelbridge.logic.brakes.pressures import fraction_of
from panelbridge.logic.kit.aircraft_cells import brake_pressure_psi
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import CommandSignal, Gauge, Signal
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World

GAUGE_STEP_PSI = 10.0
Places = tuple[int, ...]


class WheelBrakes(System[WheelBrakesFacts]):
    """The brakes at the wheels.

    Args:
        parameters: the numbers of the brakes.
        fed_pressure: the feed is the authority for the pressure of each side, which may be any.
    """

    title = "Brakes"

    def __init__(self, parameters: BrakesParameters, *, fed_pressure: bool = False) -> None:
        super().__init__()
        self._parameters = parameters
        self._sides = tuple([SIDES.index(wheel.side) for wheel in parameters.wheels])
        self._fed = tuple([brake_pressure_psi(side) for side in range(2 if fed_pressure else 0)])
        self.facts = WheelBrakesFacts((0.0,) * len(self._sides), (0,) * len(self._sides))
        self.values, self.gauges = wheel_signals(parameters, self._sides, fed_pressure=fed_pressure)
        self.commands = (
            CommandSignal("brake_fraction", "brake of each wheel, 0 to 1", self._fractions),
        )

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None when the panel has nothing to do with brakes."""
        parameters = build.aircraft.optional(BrakesParameters)
        if parameters is None:
            return None
        return cls(parameters, fed_pressure=build.aircraft.authority.brakes == "feed")

    def update(self, now_s: float, world: World) -> WheelBrakesFacts:
        """Take away what anti-skid shuts off; ask for the fluid of the rest."""
        brakes, steps = world[BrakesFacts], world[BrakePedalsFacts].steps
        wheels = world[AntiskidFacts].wheels
        psi, wanted = [], []
        for number, side in enumerate(self._sides):
            shut = number < len(wheels) and wheels[number].shut_off
            shut = shut and not brakes.emergency_braking
            psi.append(0.0 if shut else brakes.side_psi[side])
            # Air takes the place of the fluid.
            pedal = 0 if shut or brakes.emergency_braking else steps[side]
            wanted.append(max(pedal, brakes.parking_steps))
        fed_psi = tuple([world[side] for side in self._fed])
        return WheelBrakesFacts(tuple(psi), tuple(wanted), brakes.parking_steps > 0, fed_psi)

    def _fractions(self, world: World) -> tuple[float, ...]:
        parked, full_psi = world[BrakesFacts].parked_fraction, self._parameters.full_psi
        pressed = world[WheelBrakesFacts].pressed_psi
        return tuple([max(fraction_of(psi, full_psi), parked) for psi in pressed])


def wheel_signals(
    parameters: BrakesParameters, sides: Places, *, fed_pressure: bool
) -> tuple[tuple[Signal, ...], tuple[Gauge, ...]]:
    """Pressure of each side, the greatest of its wheels, and of each wheel; gauges of the sides."""
    values, gauges = [], []
    for place, side in enumerate(SIDES):
        wheels = tuple([number for number, of in enumerate(sides) if of == place])
        read, curve = _fed(place) if fed_pressure else _of(wheels)
        values.append(_signal(f"{side}_brake_psi", f"{side} brake", read, curve, parameters))
        gauges.append(Gauge(f"{side}_brake", f"{side} brake", "psi", GAUGE_STEP_PSI, read, curve))
    for number, wheel in enumerate(parameters.wheels):
        read, curve = _fed(sides[number]) if fed_pressure else _of((number,))
        words = wheel.name.replace("_", " ")
        pressure = f"{wheel.name}_wheel_brake_psi"
        one = _signal(pressure, f"brake of {words} wheel", read, curve, parameters)
        values.append(replace(one, short=f"{words} brake"))
    return tuple(values), tuple(gauges)


Read = Callable[[World], float | None]
Curved = Callable[[World], Line | None] | None


def _signal(
    name: str, label: str, read: Read, curve: Curved, parameters: BrakesParameters
) -> Signal:
    high = float("inf") if curve is None else parameters.full_psi
    return Signal(name, "number", label, read, "psi", low=0.0, high=high, curve=curve)


def _fed(side: int) -> tuple[Read, Curved]:
    return lambda world: (world[WheelBrakesFacts].fed_psi or (None, None))[side], None


def _of(wheels: Places) -> tuple[Read, Curved]:
    def pressed(world: World) -> float:
        psi = world[WheelBrakesFacts].pressed_psi
        return max([psi[number] for number in wheels], default=0.0)

    def read(world: World) -> float:
        return max(
            pressed(world), world[BrakesFacts].parking_psi.at(world.now_s) if wheels else 0.0
        )

    def curve(world: World) -> Line | None:
        line, low = world[BrakesFacts].parking_psi, pressed(world)
        if not wheels or not line.rate or line.at(world.now_s) <= low:
            return None
        return Line(line.since_s, line.start, line.rate, max(low, line.low))

    return read, curve
