"""The blocks of a board's sheet: its headers, then its chains chip by chip."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from panelbridge.config.pin_names import BITS_OF_CHIP
from panelbridge.config.words import counted
from panelbridge.wiring.electrics.circuits import ContactCircuit, LedCircuit, PotentiometerCircuit
from panelbridge.wiring.electrics.wired import WiredBoard, WiredChain
from panelbridge.wiring.sheet.chips import INPUT_CHIP, SUPPLY_PIN, Chip
from panelbridge.wiring.sheet.connectors import GROUND, Header, pinout_of
from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.strips import strip_at_pin
from panelbridge.wiring.sheet.wires import GROUND_RAIL, PinWire, bit_pin, chip_of_form
from panelbridge.wiring.sheet.words import rail


def header_blocks(board: WiredBoard, wires: Mapping[str, PinWire]) -> Iterator[PinBlock]:
    """The headers of a board, edge by edge.

    Args:
        board: the board.
        wires: its wires by pin.
    """
    pinout = pinout_of(board.hardware)
    rails = _rail_rows(board)
    words = " ".join(filter(None, (f"Order of the pins: {pinout.source}.", pinout.printed)))
    for number, edge in enumerate(pinout.edges):
        sides = [
            tuple(row for header in side for row in _header_rows(board, header, wires, rails))
            for side in (edge.left, edge.right)
        ]
        title = f"{board.name}: {board.hardware.kind}, {edge.name}"
        yield PinBlock(title, "" if number else words, left=sides[0], right=sides[1])


def _header_rows(
    board: WiredBoard, header: Header, wires: Mapping[str, PinWire], rails: dict[str, PinRow]
) -> Iterator[PinRow]:
    yield PinRow(header.name, heading=True)
    for name in header.positions:
        wire = wires.get(name)
        if wire is not None:
            yield wire_row(board, wire, name)
        else:
            yield rails.pop(name, PinRow(name))


def _rail_rows(board: WiredBoard) -> dict[str, PinRow]:
    """The first ground pin and the first supply pin, if the panel needs them."""
    rows = {
        GROUND: PinRow(
            GROUND,
            strip=Strip("ground"),
            words="to the ground rail, to which every ground of this sheet goes",
        )
    }
    needs = [part.name for part in board.parts if _needs_supply(board, part.circuit)]
    if needs or board.chains:
        name = rail(board)
        what = [counted(len(board.chains), "chain")] if board.chains else []
        what += [counted(len(needs), "part")] if needs else []
        rows[name] = PinRow(
            name,
            strip=Strip("supply", supply=name),
            words=f"to the {name} rail, for {' and '.join(what)}; no servo, no coil",
        )
    return rows


def _needs_supply(board: WiredBoard, circuit: object) -> bool:
    match circuit:
        case PotentiometerCircuit():
            return True
        case ContactCircuit():
            return not circuit.internal_pull_up
        case LedCircuit():
            return circuit.sinks
        case _:
            return False


def wire_row(board: WiredBoard, wire: PinWire, label: str, number: str = "") -> PinRow:
    """A pin with what hangs there."""
    if wire.part is None:
        return PinRow(label, number, Strip("wire"), wire.name, f"to {wire.to}")
    circuit = wire.part.circuit
    legend = f", “{wire.part.legend}”" if wire.legend else ""
    if circuit.driver is not None:
        words = f"{wire.what}{legend}\nto {wire.to}"
    else:
        bands = f"{wire.resistor}: {wire.bands}" if wire.resistor else ""
        joint = ", " if wire.to.startswith("its ") else " to "
        words = "\n".join(filter(None, (wire.what + joint + wire.to + legend, bands, wire.note)))
    return PinRow(label, number, strip_at_pin(board, circuit), wire.name, words)


def chain_blocks(
    board: WiredBoard, chain: WiredChain, wires: Mapping[str, PinWire]
) -> Iterator[PinBlock]:
    """The chips of a chain, from the one at the data pin."""
    chip = chip_of_form(chain.entry)
    for index in range(chain.entry.chips):
        title = f"{board.name}: chain {chain.name}, chip {index + 1} of {chain.entry.chips}"
        words = (
            f"{chip.kind} from above, its notch at the top ({chip.source}). Solder "
            f"100 nF between VCC (pin {chip.number(SUPPLY_PIN)}) and GND (pin 8), at the chip."
        )
        sides = [
            tuple(
                _chip_row(board, chain, chip, index, name, str(number), wires)
                for number, name in side
            )
            for side in (chip.left, chip.right)
        ]
        yield PinBlock(f"{title}: {chip.kind}", words, sides[0], sides[1], notch=True)


def _chip_row(
    board: WiredBoard,
    chain: WiredChain,
    chip: Chip,
    index: int,
    name: str,
    number: str,
    wires: Mapping[str, PinWire],
) -> PinRow:
    for bit in range(index * BITS_OF_CHIP, (index + 1) * BITS_OF_CHIP):
        if bit_pin(chip, bit) == name:
            wire = wires.get(f"{chain.name}.{bit}")
            if wire is not None:
                return wire_row(board, wire, name, number)
            if chip is INPUT_CHIP:
                return PinRow(name, number, Strip("ground"), words="not used: to ground")
            return PinRow(name, number)
    row = _line_rows(board, chain, chip, index).get(name)
    return PinRow(name, number) if row is None else PinRow(name, number, row[0], words=row[1])


def _line_rows(
    board: WiredBoard, chain: WiredChain, chip: Chip, index: int
) -> dict[str, tuple[Strip, str]]:
    """What goes to a chip's supply, clock and data pins: its symbol and its words."""
    entry, supply, wire = chain.entry, rail(board), Strip("wire")
    last = index == entry.chips - 1
    nearer, farther = f"chip {index}", f"chip {index + 2}"
    rows = {
        SUPPLY_PIN: (
            Strip("supply_capacitor", resistor="100n", supply=supply),
            f"{supply} rail; 100 nF to GND, at the chip",
        ),
        GROUND: (Strip("ground"), GROUND_RAIL),
    }
    if chip is INPUT_CHIP:
        data = f"{entry.data_pin} of the board" if index == 0 else f"DS (pin 10) of {nearer}"
        serial = (Strip("ground"), "last chip: to ground") if last else (
            (wire, f"to Q7 (pin 9) of {farther}")
        )  # fmt: skip
        return rows | {
            "PL": (wire, f"to {entry.latch_pin} of the board (latch)"),
            "CP": (wire, f"to {entry.clock_pin} of the board (clock)"),
            "CE": (Strip("ground"), GROUND_RAIL),
            "Q7": (wire, f"to {data}"),
            "DS": serial,
        }
    data = f"{entry.data_pin} of the board (data)" if index == 0 else f"Q7S (pin 9) of {nearer}"
    rows |= {
        "STCP": (wire, f"to {entry.latch_pin} of the board (latch)"),
        "SHCP": (wire, f"to {entry.clock_pin} of the board (clock)"),
        "OE": (Strip("ground"), GROUND_RAIL),
        "MR": (Strip("supply", supply=supply), f"{supply} rail"),
        "DS": (wire, f"to {data}"),
    }
    if not last:
        rows["Q7S"] = (wire, f"to DS (pin 14) of {farther}")
    return rows
