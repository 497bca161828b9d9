"""How many of which part to buy, and how many to have in spare."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from msgspec import Struct

from panelbridge.wiring.electrics.circuits import (
    BulbCircuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
    SounderCircuit,
)
from panelbridge.wiring.electrics.drivers import PULL_DOWN_OHM
from panelbridge.wiring.electrics.resistors import colour_bands
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart
from panelbridge.wiring.sheet.driver_names import drivers_of
from panelbridge.wiring.sheet.wires import chip_of_form
from panelbridge.wiring.sheet.words import feed, long_ohm, watts

_SPARE_FRACTION = 0.1
_SPARE_KINDS = frozenset({"resistor", "LED", "bulb", "contact", "capacitor", "diode", "transistor"})
"""Parts that are cheap and die or roll away; a tenth more, at least one (our own suggestion)."""
_CHEAP_WATTS = 0.25
CHIP_CAPACITOR = "100 nF, ceramic"
FLYBACK = "1N4007 class (common practice, no source)"
_ORDER = (
    *("board", "LED", "bulb", "resistor", "contact", "potentiometer", "sounder", "servo", "coil"),
    *("chip", "capacitor", "transistor", "diode", "supply"),
)


class ListedPart(Struct, frozen=True):
    """A line of the parts list.

    Attributes:
        kind: what it is.
        value: which of them.
        count: how many the panel has.
        spare: how many more to have.
        used_for: where they go.
    """

    kind: str
    value: str
    count: int
    spare: int
    used_for: str


def parts_list(wired: WiredPanel) -> list[ListedPart]:
    """What the panel needs, in the order of kinds."""
    counts: dict[tuple[str, str], int] = defaultdict(int)
    uses: dict[tuple[str, str], dict[str, None]] = defaultdict(dict)
    for kind, value, count, use in _needed(wired):
        counts[kind, value] += count
        uses[kind, value][use] = None
    lines = [
        ListedPart(kind, value, count, _spare(kind, count), ", ".join(uses[kind, value]))
        for (kind, value), count in counts.items()
    ]
    return sorted(lines, key=lambda line: _ORDER.index(line.kind))


def _spare(kind: str, count: int) -> int:
    if kind == "chip":
        return 1
    return max(1, math.ceil(count * _SPARE_FRACTION)) if kind in _SPARE_KINDS else 0


_Need = tuple[str, str, int, str]
"""Kind, value, count and use."""


def _needed(wired: WiredPanel) -> Iterator[_Need]:
    for board in wired.boards.values():
        yield "board", board.hardware.kind, 1, board.name
        for part in board.parts:
            yield from _of_part(part)
        for name, chain in board.chains.items():
            chip = chip_of_form(chain.entry).kind
            yield "chip", chip, chain.entry.chips, f"chain {name}"
            yield "capacitor", CHIP_CAPACITOR, chain.entry.chips, "one at each chip"
        yield from _of_drivers(board)
    for name, supply in wired.supplies.items():
        limit = f", {supply.limit_ma:g} mA" if supply.limit_ma is not None else ""
        yield "supply", f"{supply.voltage_v:g} V{limit}, fused", 1, name


def _resistor(ohm: float, rating_w: float = _CHEAP_WATTS) -> str:
    return f"{long_ohm(ohm)} {watts(rating_w)}, {' '.join(colour_bands(ohm))}"


def _of_part(part: WiredPart) -> Iterator[_Need]:
    match part.circuit:
        case LedCircuit() as led:
            yield "LED", led.colour, led.leds, "lamps"
            if led.resistor is not None:
                value = _resistor(led.resistor.ohm, led.resistor.rating_w)
                yield "resistor", value, led.leds, "LEDs"
        case BulbCircuit() as bulb:
            volts = "" if bulb.supply_v is None else f", {bulb.supply_v:g} V"
            current = "" if bulb.current_ma is None else f", {bulb.current_ma:g} mA"
            yield "bulb", f"{bulb.colour}{volts}{current}", 1, "lamps"
        case ContactCircuit() as contact:
            yield from _of_contact(part, contact)
        case PotentiometerCircuit():
            yield "potentiometer", "10 kΩ, linear", 1, part.name
        case ServoCircuit() as servo:
            yield "servo", f"hobby servo, from {feed(servo.supply, servo.supply_v)}", 1, part.name
        case CoilCircuit() as coil:
            volts = "" if coil.supply_v is None else f", {coil.supply_v:g} V"
            yield "coil", f"solenoid{volts}", 1, part.name
        case SounderCircuit() as sounder:
            yield "sounder", sounder.sounder.replace("_", " "), 1, "horn"


def _of_contact(part: WiredPart, contact: ContactCircuit) -> Iterator[_Need]:
    count = len(part.pins)
    if count > 1:
        yield "contact", "pair, one at each end of a handle's travel", 1, part.name
    else:
        yield "contact", "opens" if contact.normally_closed else "closes", 1, "switches"
    if not contact.internal_pull_up:
        yield "resistor", _resistor(contact.pull_up_ohm[0]), count, "pull-ups"
    if contact.series_ohm:
        yield "resistor", _resistor(contact.series_ohm), count, "in series with contacts"
    if contact.capacitor_nf:
        yield "capacitor", f"{contact.capacitor_nf:g} nF", count, "across contacts"


def _of_drivers(board: WiredBoard) -> Iterator[_Need]:
    drivers = drivers_of(board)
    for name in dict.fromkeys(one.name for one in drivers.values() if one.is_array):
        yield "chip", "ULN2803A", 1, f"driver {name}"
    for driver in drivers.values():
        its = driver.stage
        if not driver.is_array:
            yield "transistor", its.type.title, 1, driver.name
            yield "resistor", _resistor(its.type.input_ohm), 1, "drivers' inputs"
            if its.flyback_diode and driver.has_coil:
                yield "diode", FLYBACK, 1, "across coils"
        if driver.has_pull_down:
            yield "resistor", _resistor(PULL_DOWN_OHM), 1, "drivers' pull-downs"
