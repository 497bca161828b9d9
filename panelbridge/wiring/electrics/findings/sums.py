"""Sums beyond their limits, hot transistor arrays, voltage lost on a return that loads share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from panelbridge.config.electrics.keys import WireGauge
from panelbridge.config.words import counted, listed, quoted
from panelbridge.wiring.electrics.budget import BudgetLine, budget
from panelbridge.wiring.electrics.chips import CHIPS, chips_of
from panelbridge.wiring.electrics.circuits import (
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
)
from panelbridge.wiring.electrics.currents import total
from panelbridge.wiring.electrics.drivers import (
    AMBIENT_C,
    ARRAY_K_PER_W,
    ARRAY_MOST_C,
    array_heat_w,
)
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart

OHM_PER_KM: Mapping[WireGauge, float] = {20: 33.3, 22: 52.7, 24: 84.2, 26: 133.9, 28: 212.9}
"""Copper, ohm a kilometre by AWG. Source: published tables; 20 and 26 from memory."""  # O-11
MOST_LOST_V = 0.3
"""What may be lost on a shared return, V (common practice, no source)."""


def pair_ohm(length_m: float, gauge: WireGauge) -> float:
    """Resistance of both wires of a pair, there and back, ohm."""
    return 2.0 * length_m * OHM_PER_KM[gauge] / 1000.0


def lost_v(length_m: float, gauge: WireGauge, current_ma: float) -> float:
    """What a current loses on a pair of wires, V."""
    return pair_ohm(length_m, gauge) * current_ma / 1000.0


_SHOWN = 3
_SMALLER = "Use larger resistors ('resistor_ohm'), or drivers with a supply of their own"
_DRIVER = "Use a driver with a supply of its own ('driver', 'supply')"
_POWER = "Give the board a supply of its own ('powered_by: own_supply'), or feed less through it"
_STRONGER = "Use a stronger supply, or share the load between two"


def sum_findings(panel: WiredPanel) -> Iterator[Finding]:
    """What is beyond a limit in the sums of a panel."""
    for line in budget(panel):
        if line.is_passed:
            yield _passed(line)
    yield from _servos(panel)
    for board in panel.boards.values():
        yield from _chip(board)
        yield from _drivers(board)
        yield from _ground(board)


def _passed(line: BudgetLine) -> Finding:
    current = line.current
    amount = f"{current.typical_ma:.0f} mA, at worst {current.worst_ma:.0f} mA"
    if f"{current.typical_ma:.0f}" == f"{current.worst_ma:.0f}":
        amount = f"{current.worst_ma:.0f} mA"
    limit = "the limit is" if line.is_absolute else "its figures are guaranteed up to"
    what = f"{line.subject}: {amount}, and {limit} {line.limit_ma:g} mA ({line.source})"
    hint = (
        _SMALLER
        if all(isinstance(part.circuit, LedCircuit) for part in line.parts[:_SHOWN])
        else _DRIVER
    )
    if line.place[0] == "electrics":
        hint = _STRONGER
    elif line.place[-1] == "powered_by":
        hint = _POWER
    if len(line.parts) > 1:
        parts = [quoted(part.name) for part in line.parts[:_SHOWN]]
        hint = f"{len(line.parts)} parts add up, most of all {listed(parts, 'and')}. {hint}"
    level = FindingLevel.ERROR if line.is_absolute else FindingLevel.WARNING
    return Finding(line.place, what, hint, level)


def _chip(board: WiredBoard) -> Iterator[Finding]:
    allowed = chips_of(board.hardware)
    chip = board.entry.chip
    if board.chip is None:
        what = (
            f"the currents of board {quoted(board.name)} are not compared with limits of its chip"
        )
        hint = f"Write its 'chip' if it is {listed(CHIPS)}; else keep to its data sheet"
        yield Finding(("boards", board.name), what, hint, FindingLevel.NOTE)
    if chip is not None and allowed and chip not in allowed:
        what = f"a board of kind {board.hardware.kind} has no {CHIPS[chip].title}"
        hint = f"It can be {listed(allowed)}"
        yield Finding(("boards", board.name, "chip"), what, hint, FindingLevel.ERROR)


def _drivers(board: WiredBoard) -> Iterator[Finding]:
    arrays: defaultdict[int, list[WiredPart]] = defaultdict(list)
    for part in board.parts:
        stage = part.circuit.driver
        if stage is None:
            continue
        most, load_ma = stage.type.output_most_ma, part.circuit.load.worst_ma
        if most is not None and load_ma > most:
            what = f"{quoted(part.name)} takes {load_ma:.0f} mA, and an output of the"
            what += f" {stage.type.title} bears {most:.0f} mA ({stage.type.source})"
            hint = "Use a MOSFET for it"
            yield Finding((*part.place, "driver"), what, hint, FindingLevel.ERROR)
        if stage.chip:
            arrays[stage.chip].append(part)
    for number, parts in arrays.items():
        heat_w = array_heat_w(part.circuit.load.worst_ma for part in parts)
        hottest_c = AMBIENT_C + heat_w * ARRAY_K_PER_W
        if hottest_c > ARRAY_MOST_C:
            what = f"transistor array {number} of board {quoted(board.name)} gets {hottest_c:.0f} C"
            what += f" hot with {heat_w:.1f} W; it bears {ARRAY_MOST_C:.0f} C"
            hint = "Give the largest loads a MOSFET each, or smaller currents"
            yield Finding(("boards", board.name), what, hint, FindingLevel.ERROR)


def _servos(panel: WiredPanel) -> Iterator[Finding]:
    """What a supply must give that the file does not name."""
    circuits = [part.circuit for part in panel.parts]
    servos = [one for one in circuits if isinstance(one, ServoCircuit) and not one.supply]
    if servos:
        amount = total(one.load for one in servos).worst_ma / 1000.0
        what = f"{counted(len(servos), 'servo')} held fast may take {amount:g} A"
        hint = "Choose their 5 V supply for it, with a fuse, and join the grounds"
        yield Finding(("gauges",), what, hint, FindingLevel.NOTE)


def _ground(board: WiredBoard) -> Iterator[Finding]:
    entry = board.entry
    loads = [
        part.circuit.load
        for part in board.parts
        if not isinstance(part.circuit, ContactCircuit | PotentiometerCircuit)
    ]
    current_ma = total(loads).worst_ma
    lost = lost_v(entry.ground_wire_m, entry.ground_wire_awg, current_ma)
    if lost > MOST_LOST_V:
        what = f"{current_ma:.0f} mA lose {lost:.2f} V on {entry.ground_wire_m:g} m of AWG"
        what += f" {entry.ground_wire_awg} wire (there and back), which shifts levels and knobs"
        hint = "Use a shorter or thicker wire, or give servos and lamps a return of their own"
        yield Finding(("boards", board.name, "ground_wire_m"), what, hint)
