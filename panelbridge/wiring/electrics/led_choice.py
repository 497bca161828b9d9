"""Which LED, current and resistor a lamp has: its own words, then the panel's, then the usual."""

from __future__ import annotations

from panelbridge.config.electrics.keys import Electrics
from panelbridge.config.panel_parts.output_entries import LampEntry
from panelbridge.wiring.electrics.leds import USUAL_LEDS, LedType, led_of
from panelbridge.wiring.electrics.resistors import (
    SeriesResistor,
    needed_ohm,
    power_w,
    rating_for,
    round_up,
)

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
