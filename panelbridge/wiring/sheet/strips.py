"""From the circuit of a part to the symbols that are drawn at its pin, or at its driver."""

from __future__ import annotations

from panelbridge.wiring.electrics.circuits import (
    BulbCircuit,
    Circuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
    SounderCircuit,
)
from panelbridge.wiring.electrics.wired import WiredBoard
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.words import rail, short_ohm

FILLS = {
    "red": "#f08080",
    "amber": "#ffc04d",
    "green": "#7fd48a",
    "white": "#ffffff",
    "blue": "#8ab4f8",
}
"""Light enough for the lines of the symbol to stay visible on a grey print."""


def strip_at_pin(board: WiredBoard, circuit: Circuit) -> Strip:
    """What is drawn at the pin itself."""
    match circuit:
        case _ if circuit.driver is not None:
            strip = Strip("wire")
        case LedCircuit() if circuit.sinks:
            strip = Strip("led_to_supply", FILLS[circuit.colour], _value(circuit), rail(board))
        case LedCircuit():
            strip = Strip("led_to_ground", FILLS[circuit.colour], _value(circuit))
        case ContactCircuit():
            strip = _contact(board, circuit)
        case PotentiometerCircuit():
            strip = Strip("lever", supply=rail(board))
        case ServoCircuit():
            strip = Strip("servo", supply=_volts(circuit), inside="servo")
        case SounderCircuit():
            strip = Strip("horn")
        case _:  # a coil or bulb at a pin: an error of the budget
            strip = Strip("wire")
    return strip


def _contact(board: WiredBoard, circuit: ContactCircuit) -> Strip:
    closed = circuit.normally_closed
    if circuit.internal_pull_up:
        return Strip("contact_closed" if closed else "contact")
    return Strip(
        "contact_closed_pulled_up" if closed else "contact_pulled_up",
        resistor=short_ohm(circuit.pull_up_ohm[0]),
        supply=rail(board),
    )


def strip_at_output(circuit: Circuit) -> Strip:
    """What is drawn at the output of a driver: the load and its supply."""
    supply = _volts(circuit)
    match circuit:
        case LedCircuit():
            return Strip("led_to_supply", FILLS[circuit.colour], _value(circuit), supply)
        case SounderCircuit(sounder="magnetic_buzzer"):
            return Strip("coil_to_supply", supply=supply)
        case BulbCircuit():
            return Strip("lamp_to_supply", supply=supply)
        case CoilCircuit():
            return Strip("coil_to_supply", supply=supply)
        case _:
            return Strip("sounder_to_supply", supply=supply)


def _value(circuit: LedCircuit) -> str:
    return short_ohm(circuit.resistor.ohm) if circuit.resistor is not None else "?"


def _volts(circuit: Circuit) -> str:
    return "own" if circuit.supply_v is None else f"{circuit.supply_v:.3g} V"
