"""LEDs: forward voltages by colour, and which LED, current and resistor a lamp has."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.config.electrics.keys import Electrics
from panelbridge.config.panel_parts.output_entries import LampColour, LampEntry
from panelbridge.wiring.electrics.currents import CurrentRange
from panelbridge.wiring.electrics.resistors import (
    SeriesResistor,
    needed_ohm,
    power_w,
    rating_for,
    round_up,
)
from panelbridge.wiring.electrics.sources import FigureSource

SPREAD_V = 0.2
"""Our own decision: LEDs of one type differ by so much either way, V."""
# O-9.
CATALOGUE = FigureSource("a catalogue's table of LEDs at 10 to 20 mA", "R")


class LedType(Struct, frozen=True):
    """An LED of a kind.

    Attributes:
        lowest_v: the lowest forward voltage, V: with it the current is largest.
        typical_v: the typical one, V.
        highest_v: the highest one, V: below it the LED may stay dark.
        source: where the figures come from.
    """

    lowest_v: float
    typical_v: float
    highest_v: float
    source: FigureSource

    def current(self, supply_v: float, ohm: float) -> CurrentRange:
        """What flows through it and a resistor of ``ohm`` from ``supply_v``."""
        typical, worst = (
            max(supply_v - forward_v, 0.0) / ohm * 1000.0
            for forward_v in (self.typical_v, self.lowest_v)
        )
        return CurrentRange(typical, worst)


USUAL_LEDS: Mapping[LampColour, LedType] = {
    "red": LedType(1.7, 2.0, 2.5, CATALOGUE),
    "amber": LedType(1.9, 2.1, 2.5, CATALOGUE),
    "green": LedType(2.0, 2.2, 3.6, CATALOGUE),
    "white": LedType(3.0, 3.2, 3.6, CATALOGUE),
    "blue": LedType(3.0, 3.2, 3.6, CATALOGUE),
}
"""Red: the table's red and bright red. Amber: its yellow. Green: its green (2.2 to 2.5 V) up to its
true green (3.0 to 3.6 V): from outside one cannot see which of them an LED is."""


def led_of(forward_v: float) -> LedType:
    """An LED whose forward voltage the panel file gives, V."""
    said = FigureSource("the panel file", "C")
    return LedType(forward_v - SPREAD_V, forward_v, forward_v + SPREAD_V, said)


LED_MA, LOW_V_LED_MA = 5.0, 3.0
"""Our own decision: current of an LED when nothing is said, and at boards up to ``LOW_V``, mA."""
LOW_V = 4.0


def led_type(lamp: LampEntry, electrics: Electrics) -> LedType:
    """The LED of a lamp."""
    usual_v: float | None = getattr(electrics.led_forward_v, lamp.colour)
    forward_v = usual_v if lamp.forward_v is None else lamp.forward_v
    return USUAL_LEDS[lamp.colour] if forward_v is None else led_of(forward_v)


def wanted_current_ma(lamp: LampEntry, electrics: Electrics, pin_v: float) -> float:
    """The current that each of its LEDs shall have, mA."""
    usual = LED_MA if pin_v > LOW_V else LOW_V_LED_MA
    return lamp.current_ma or electrics.led_current_ma or usual


def resistor_for(
    lamp: LampEntry, electrics: Electrics, led: LedType, wanted_ma: float, volts: float
) -> SeriesResistor | None:
    """The resistor of each LED; None where ``volts`` are not above its forward voltage.

    A lamp that says its current does not get the panel's one resistor.
    """
    if volts <= led.typical_v:
        return None
    given = lamp.resistor_ohm
    if given is None and lamp.current_ma is None:
        given = electrics.resistor_ohm
    needed = needed_ohm(volts, led.typical_v, wanted_ma)
    ohm = given or round_up(needed, electrics.resistor_series)
    watts = power_w(led.current(volts, ohm).worst_ma, ohm)
    return SeriesResistor(ohm, given is None, watts, rating_for(watts, electrics.resistor_w))
