"""Contacts: levels, capacitors, current through the closed contact."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelbridge.config.words import quoted
from panelbridge.wiring.electrics.circuits import ContactCircuit
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.resistors import E12
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPart

HIGH_FRACTION = 0.6
"""A pin reads high from this part of the supply voltage on."""  # F-4
LEAST_WETTING_MA = 1.0
"""Example of a least load for contacts that are not gold."""  # O-13
_TOLERANCE = 1.05
UNKNOWN_LOW_FRACTION = 0.3


def low_level_v(circuit: ContactCircuit) -> float:
    """The highest voltage at the pin of a closed contact, V."""
    return circuit.pin_v * circuit.series_ohm / (circuit.series_ohm + circuit.pull_up_ohm[0])


def rise_ms(ohm: float, capacitor_nf: float) -> float:
    """Time to the high level through a pull-up after the contact has opened, ms."""
    return -math.log(1.0 - HIGH_FRACTION) * ohm * capacitor_nf * 1e-6


def wetting_pull_up_ohm(volts: float, series_ohm: float = 0.0) -> float | None:
    """The largest E12 pull-up of 5 % that gives a contact its least current, ohm.

    None when that is less than 1 kOhm.
    """
    most = (volts / LEAST_WETTING_MA * 1000.0 - series_ohm) / _TOLERANCE
    return max((value * 100.0 for value in E12 if value * 100.0 <= most), default=None)


def contact_findings(board: WiredBoard, part: WiredPart) -> Iterator[Finding]:
    """What is wrong with a contact."""
    circuit = part.circuit
    if not isinstance(circuit, ContactCircuit):
        return
    name = quoted(part.name)
    yield from _boot(board, part, circuit)
    low_fraction = UNKNOWN_LOW_FRACTION if board.chip is None else board.chip.low_fraction
    level_v = low_level_v(circuit)
    if level_v > low_fraction * circuit.pin_v:
        what = f"the closed contact {name} gives up to {level_v:.2f} V, and the pin surely reads"
        what += f" it as low up to {low_fraction * circuit.pin_v:.2f} V"
        hint = "Use a smaller 'series_ohm'; 1000 is enough"
        yield Finding((*part.place, "series_ohm"), what, hint)
    if circuit.capacitor_nf:
        yield from _capacitor(part, circuit)
    least_ma = circuit.wetting_ma[0]
    if least_ma < LEAST_WETTING_MA:
        what = f"only {least_ma:.2f} mA flow through the contact {name}; cheap contacts want 1 mA"
        ohm = wetting_pull_up_ohm(circuit.pin_v, circuit.series_ohm)
        hint = "Use gold contacts, or a smaller 'series_ohm'"
        if ohm and circuit.series_ohm <= low_fraction * (circuit.series_ohm + ohm):
            hint = f"Use gold contacts, or a pull-up of {ohm:.0f} ohm"
        yield Finding(part.place, what, hint, FindingLevel.NOTE)


def _boot(board: WiredBoard, part: WiredPart, circuit: ContactCircuit) -> Iterator[Finding]:
    """A pin that the boot loader drives high, and that a closed contact ties to ground."""
    for key, name in part.pins.items():
        pin = board.hardware.pins.get(name)
        if pin is None or not pin.at_boot or board.chip is None:
            continue
        if circuit.series_ohm * board.chip.pin_tested_ma < circuit.pin_v * 1000.0:
            what = f"a closed contact at pin {quoted(name)} shorts it while the board starts"
            hint = "Use another pin, or put 1 kOhm in series and write 'series_ohm: 1000'"
            yield Finding((*part.place, key), f"{what} ({pin.at_boot})", hint)


def _capacitor(part: WiredPart, circuit: ContactCircuit) -> Iterator[Finding]:
    name, place = quoted(part.name), (*part.place, "capacitor_nf")
    slowest_ms = rise_ms(circuit.pull_up_ohm[1] + circuit.series_ohm, circuit.capacitor_nf)
    if slowest_ms > circuit.debounce_ms:
        what = f"the capacitor across {name} needs up to {slowest_ms:.0f} ms to charge, longer than"
        hint = "Use 100 nF at most: it is against noise of the cable, the board debounces"
        yield Finding(place, f"{what} the debounce time of {circuit.debounce_ms} ms", hint)
    if not circuit.series_ohm:
        what = f"the capacitor across {name} discharges through the bare contact and wears it"
        hint = "Put 1 kOhm in series with the contact and write 'series_ohm: 1000'"
        yield Finding(place, what, hint)
