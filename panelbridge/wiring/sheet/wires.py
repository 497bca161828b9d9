"""Every wire at a pin of a board or at a chip of a chain, in the order of wiring."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from panelbridge.config.panel_parts.board_entry import ChainEntry
from panelbridge.config.panel_parts.switch_entries import LeverSwitch, OneContactHandle
from panelbridge.config.pin_names import BITS_OF_CHIP
from panelbridge.wiring.electrics.circuits import (
    POTENTIOMETER_OHM,
    BulbCircuit,
    Circuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
    SounderCircuit,
)
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart
from panelbridge.wiring.sheet.chips import INPUT_CHIP, OUTPUT_CHIP, Chip
from panelbridge.wiring.sheet.connectors import pinout_of
from panelbridge.wiring.sheet.driver_names import driver_of
from panelbridge.wiring.sheet.words import feed, long_ohm, rail, resistor_text

GROUND_RAIL = "ground"
SOUNDERS = {
    "piezo": "piezo disc",
    "active_buzzer": "buzzer with electronics of its own",
    "magnetic_buzzer": "magnetic buzzer",
}
_Words = tuple[str, str, str]
"""What a part is, what its other side goes to, and a note."""


class PinWire(Struct, frozen=True):
    """A wire at a pin.

    Attributes:
        board: the board's name.
        place: where the pin is: header and position, or chip and pin number.
        pin: its name in the panel file.
        name: of the part, as in the panel file; of the chain for its lines.
        what: the part in words.
        to: what the part's other side, or the wire itself, goes to.
        resistor: value and rating of its resistor; empty without one.
        bands: its colour bands.
        note: what else there is to know.
        part: what is wired; None for a line of a chain.
    """

    board: str
    place: str
    pin: str
    name: str
    what: str
    to: str
    resistor: str = ""
    bands: str = ""
    note: str = ""
    part: WiredPart | None = None

    @property
    def legend(self) -> str:
        """The words on the lamp; empty where it has none."""
        return self.part.legend if self.part and self.part.legend != self.part.name else ""


def wires_of(wired: WiredPanel) -> list[PinWire]:
    """Every wire of a panel, board by board."""
    return [wire for board in wired.boards.values() for wire in board_wires(wired, board)]


def board_wires(wired: WiredPanel, board: WiredBoard) -> Iterator[PinWire]:
    """The wires of a board along its headers, then chip by chip along its chains."""
    lines = _chain_lines(board)
    places = pinout_of(board.hardware).places
    for pin in [pin for pin in places if pin in board.pins or pin in lines]:
        if pin in board.pins:
            yield _part_wire(wired, board, board.pins[pin], pin, places[pin])
        else:
            yield lines[pin]
    for name, chain in board.chains.items():
        chip = chip_of_form(chain.entry)
        for bit, part in sorted(chain.bits.items()):
            pin = f"{name}.{bit}"
            yield _part_wire(wired, board, part, pin, chip_place(chip, name, bit))


def chip_of_form(entry: ChainEntry) -> Chip:
    """The chips of a chain."""
    return INPUT_CHIP if entry.form == "inputs" else OUTPUT_CHIP


def bit_pin(chip: Chip, bit: int) -> str:
    """The name of a chip's pin for a bit of its chain."""
    return f"{'D' if chip is INPUT_CHIP else 'Q'}{bit % BITS_OF_CHIP}"


def chip_place(chip: Chip, chain: str, bit: int) -> str:
    """Where the pin of a bit is: ``wheels chip 1, pin 15``."""
    return f"{chain} chip {bit // BITS_OF_CHIP + 1}, pin {chip.number(bit_pin(chip, bit))}"


def line_targets(entry: ChainEntry) -> dict[str, tuple[str, str]]:
    """What each pin of a chain's lines is, and where its wire goes."""
    if entry.form == "inputs":
        data, clock, latch = "Q7", "CP", "PL"
    else:
        data, clock, latch = "DS", "SHCP", "STCP"
    chip = chip_of_form(entry)
    every = "of each chip" if entry.chips > 1 else "of the chip"
    return {
        entry.data_pin: ("data", f"{data} (pin {chip.number(data)}) of chip 1"),
        entry.clock_pin: ("clock", f"{clock} (pin {chip.number(clock)}) {every}"),
        entry.latch_pin: ("latch", f"{latch} (pin {chip.number(latch)}) {every}"),
    }


def _chain_lines(board: WiredBoard) -> dict[str, PinWire]:
    """The wires from the board to its chains, by pin."""
    places = pinout_of(board.hardware).places
    return {
        pin: PinWire(
            board.name,
            places[pin],
            pin,
            f"{name} {line}",
            f"{line} line of chain {name}",
            to,
        )
        for name, chain in board.chains.items()
        for pin, (line, to) in line_targets(chain.entry).items()
    }


def _part_wire(
    wired: WiredPanel, board: WiredBoard, part: WiredPart, pin: str, place: str
) -> PinWire:
    """The wire of a part at one of its pins."""
    what, to, note = _words(wired, board, part, pin)
    resistor, bands = "", ""
    circuit = part.circuit
    if isinstance(circuit, LedCircuit) and circuit.resistor is not None:
        each = f"{circuit.leds} × " if circuit.leds > 1 else ""
        resistor = each + resistor_text(circuit.resistor)
        bands = " ".join(circuit.resistor.bands)
    driver = driver_of(board, part)
    if driver is not None:
        to = driver.input_text
    return PinWire(
        board.name, place, pin, part_name(part, pin), what, to, resistor, bands, note, part
    )


def part_name(part: WiredPart, pin: str) -> str:
    """The part's name; with the contact for a handle that has two."""
    key = next(key for key, its in part.pins.items() if its == pin)
    return f"{part.name} ({key.removesuffix('_pin')} contact)" if len(part.pins) > 1 else part.name


def led_words(circuit: LedCircuit) -> str:
    """How many LEDs of which colour."""
    return (
        f"{circuit.leds} {circuit.colour} LEDs with a resistor each"
        if circuit.leds > 1
        else f"{circuit.colour} LED"
    )


def load_words(circuit: Circuit) -> str:
    """A load behind a driver in words, with what limits its current."""
    match circuit:
        case LedCircuit():
            what = led_words(circuit)
            if circuit.resistor is None:
                return what
            bands = " ".join(circuit.resistor.bands)
            return f"{what}, {resistor_text(circuit.resistor)}: {bands}"
        case BulbCircuit():
            what = f"{circuit.colour} bulb"
        case CoilCircuit():
            what = "coil of a solenoid"
        case SounderCircuit():
            what = SOUNDERS[circuit.sounder]
        case _:
            raise AssertionError(circuit)
    current = f", {circuit.load.typical_ma:g} mA" if circuit.load.typical_ma else ""
    return f"{what}{current}"


def _words(wired: WiredPanel, board: WiredBoard, part: WiredPart, pin: str) -> _Words:
    """The words for a part at a pin."""
    circuit = part.circuit
    fed = feed(circuit.supply, circuit.supply_v)
    match circuit:
        case LedCircuit():
            side = (rail(board), "its short leg to the resistor") if circuit.sinks else (
                (GROUND_RAIL, "")
            )  # fmt: skip
            words = (led_words(circuit), *side)
        case BulbCircuit():
            words = (f"{circuit.colour} bulb", f"supply {fed}", "")
        case SounderCircuit():
            words = (SOUNDERS[circuit.sounder], GROUND_RAIL, "")
        case CoilCircuit():
            words = ("coil of a solenoid", f"supply {fed}", "never a coil at a pin itself")
        case ServoCircuit():
            join = "join that supply's ground and the board's"
            words = ("servo, signal wire", f"its plus to {fed}, minus to ground", join)
        case PotentiometerCircuit():
            entry = wired.panel.wired_switches[part.name]
            turned = isinstance(entry, LeverSwitch) and entry.counts_at_0 > entry.counts_at_1
            words = (
                f"wiper of a potentiometer, {long_ohm(POTENTIOMETER_OHM)}",
                f"its ends to ground and {rail(board)}",
                f"the end at the lever's {'highest' if turned else 'lowest'} place to ground",
            )
        case ContactCircuit():
            words = _contact_words(wired, board, part, circuit)
        case _:
            raise AssertionError(circuit)
    return words


def _contact_words(
    wired: WiredPanel, board: WiredBoard, part: WiredPart, circuit: ContactCircuit
) -> _Words:
    entry = wired.panel.wired_switches[part.name]
    what = "contact that opens when operated" if circuit.normally_closed else "contact"
    notes = []
    if isinstance(entry, OneContactHandle):
        notes.append(f"closed means {entry.closed_means}")
    if not circuit.internal_pull_up:
        notes.append(f"pull-up {long_ohm(circuit.pull_up_ohm[0])} from the pin to {rail(board)}")
    if circuit.series_ohm:
        notes.append(f"{long_ohm(circuit.series_ohm)} between pin and contact")
    if circuit.capacitor_nf:
        notes.append(f"{circuit.capacitor_nf:g} nF across the contact")
    return what, GROUND_RAIL, "; ".join(notes)
