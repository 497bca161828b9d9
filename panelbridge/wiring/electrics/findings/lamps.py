"""LEDs that stay dark or get too much, resistors that get hot, bulbs at pins."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.config.words import quoted
from panelbridge.wiring.electrics.circuits import BulbCircuit, LedCircuit
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart

HEADROOM_V = 0.3
"""Our own decision: an LED needs so much above its highest forward voltage to light surely, V."""
LED_MOST_MA = 25.0
"""Lowest maximum of the catalogue's LEDs (25 to 30 mA)."""  # O-9


def lamp_findings(panel: WiredPanel, board: WiredBoard, part: WiredPart) -> Iterator[Finding]:
    """What is wrong with a lamp."""
    circuit = part.circuit
    if isinstance(circuit, LedCircuit):
        yield from _led(panel, board, part, circuit)
    if isinstance(circuit, BulbCircuit):
        yield from _bulb(part, circuit)
    given = panel.panel.lamps[part.name].supply
    if given not in (None, BOARD_SUPPLY) and circuit.driver is None:
        supply = panel.supplies.get(str(given))
        is_high = supply is not None and supply.voltage_v > circuit.pin_v
        yield Finding(
            (*part.place, "supply"),
            f"the lamp {quoted(part.name)} has the supply {quoted(given)} and no driver"
            + (f": {supply.voltage_v:g} V would reach its pin" if supply and is_high else ""),
            "Name its driver (transistor_array, mosfet or npn), or delete 'supply'",
            FindingLevel.ERROR if is_high else FindingLevel.WARNING,
        )


def _led(
    panel: WiredPanel, board: WiredBoard, part: WiredPart, circuit: LedCircuit
) -> Iterator[Finding]:
    place, volts, led = (*part.place, "pin"), circuit.supply_v, circuit.led
    if volts is None:
        return
    left_v = volts - (circuit.driver.type.drop_v if circuit.driver is not None else 0.0)
    title = f"the {circuit.colour} LED {quoted(part.name)}"
    if circuit.resistor is None:
        what = f"{title} never lights: it needs {led.typical_v:g} V and gets {left_v:g} V"
        yield Finding(
            place, what, "Feed it from a higher supply, behind a driver", FindingLevel.ERROR
        )
        return
    if left_v - led.highest_v < HEADROOM_V:
        hint = "Feed it from 5 V behind a driver, or write the 'forward_v' of your LED"
        if circuit.colour == "green":
            hint += ": 2.2 for a yellowish green one"
        what = f"{title} may stay dark: LEDs of its kind need up to {led.highest_v:g} V and it gets"
        yield Finding(place, f"{what} {left_v:g} V", hint)
    if circuit.each.worst_ma > LED_MOST_MA:
        what = f"{title} gets up to {circuit.each.worst_ma:.0f} mA; most LEDs bear"
        hint = "Use a larger resistor, or leave 'resistor_ohm' out"
        yield Finding(_resistor_place(panel, part), f"{what} {LED_MOST_MA:.0f}", hint)
    usual_w = panel.panel.electrics.resistor_w
    resistor = circuit.resistor
    if resistor.rating_w > usual_w:
        what = f"the resistor of {title} gets hot: {resistor.power_w:.2f} W in one of {usual_w:g} W"
        larger = f"one of {resistor.rating_w:g} W, " if math.isfinite(resistor.rating_w) else ""
        hint = f"Use {larger}a smaller current or a lower supply"
        yield Finding(_resistor_place(panel, part), what, hint)


def _resistor_place(panel: WiredPanel, part: WiredPart) -> tuple[str, ...]:
    own = panel.panel.lamps[part.name].resistor_ohm is not None
    return (*part.place, "resistor_ohm" if own else "pin")


def _bulb(part: WiredPart, circuit: BulbCircuit) -> Iterator[Finding]:
    if circuit.driver is None:
        yield Finding(
            (*part.place, "light"),
            f"the bulb {quoted(part.name)} is at a pin: cold it takes ten times its current",
            "Name its driver (transistor_array, mosfet or npn) and its supply",
            FindingLevel.ERROR,
        )
    if circuit.current_ma is None:
        what = f"the bulb {quoted(part.name)} says no current, so no sum has it"
        yield Finding((*part.place, "light"), what, "Add 'current_ma:' with what is printed on it")
