"""Drivers between a pin and a load: transistor array, MOSFET, bipolar transistor."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from panelbridge.config.electrics.keys import DriverKind
from panelbridge.wiring.electrics.currents import CurrentRange, steady
from panelbridge.wiring.electrics.sources import COMMON_PRACTICE, FigureSource

OUTPUTS_OF_ARRAY = 8
PULL_DOWN_OHM = 10_000.0


class DriverType(Struct, frozen=True):
    """A kind of driver.

    Attributes:
        title: what it is, for people.
        drop_v: voltage that is lost across it, V.
        input_ohm: resistor between pin and its input, ohm; 0 where it has one inside.
        inside_ohm: resistance of its own input, ohm.
        input_drop_v: voltage at which its input conducts, V.
        output_most_ma: absolute maximum of an output, mA; None where it depends on the type.
        diode_inside: it has flyback diodes, to be tied to the coil's supply (pin COM).
    """

    title: str
    drop_v: float
    input_ohm: float
    inside_ohm: float
    input_drop_v: float
    output_most_ma: float | None
    diode_inside: bool
    source: FigureSource


# O-6 and O-7.
_ARRAY = FigureSource("data sheet ULN2803A; its voltage drop from memory, not read", "R")
_MOSFET = FigureSource("recipe of a logic-level MOSFET", "M")
DRIVERS: Mapping[DriverKind, DriverType] = {
    "transistor_array": DriverType(
        "transistor array ULN2803A", 0.9, 0.0, 2700.0, 1.4, 500.0, True, _ARRAY
    ),
    "mosfet": DriverType(
        "logic-level N-channel MOSFET", 0.0, 220.0, PULL_DOWN_OHM, 0.0, None, False, _MOSFET
    ),
    "npn": DriverType("NPN transistor", 0.2, 1000.0, 0.0, 0.7, None, False, COMMON_PRACTICE),
}
_SATURATION = ((10.0, 0.9), (100.0, 1.1), (200.0, 1.3), (350.0, 1.6))
"""Current of an output of the array, mA, and the voltage that is lost across it, V."""
ARRAY_K_PER_W = 55.0
ARRAY_MOST_C = 125.0
AMBIENT_C = 25.0


def array_drop_v(current_ma: float) -> float:
    """What is lost across an output of the transistor array, V; a straight line between points."""
    points = [*_SATURATION]
    below = max((p for p in points[:-1] if p[0] <= current_ma), default=points[0])
    above = points[points.index(below) + 1]
    slope = (above[1] - below[1]) / (above[0] - below[0])
    return below[1] + max(current_ma - below[0], 0.0) * slope


def array_heat_w(currents_ma: Iterable[float]) -> float:
    """What a transistor array turns into heat with these currents at its outputs, W."""
    return sum(array_drop_v(ma) * ma / 1000.0 for ma in currents_ma)


class DriverStage(Struct, frozen=True):
    """The driver of one load.

    Attributes:
        kind: what it is.
        chip: number of the transistor array at its board, from 1; 0 for a single transistor.
        output: number of the array's output, 1 to 8; 0 for a single transistor.
        flyback_diode: a diode across the coil, or the array's COM pin tied to the supply.
        pull_down: 10 kOhm from its input to ground.
    """

    kind: DriverKind
    chip: int = 0
    output: int = 0
    flyback_diode: bool = True
    pull_down: bool = True

    @property
    def type(self) -> DriverType:
        """What such a driver needs and can do."""
        return DRIVERS[self.kind]

    def input_current(self, pin_v: float) -> CurrentRange:
        """What the pin gives into its input while it is on."""
        its = self.type
        ma = max(pin_v - its.input_drop_v, 0.0) / (its.input_ohm + its.inside_ohm) * 1000.0
        return steady(ma)
