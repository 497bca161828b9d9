"""The drivers of a board: arrays pin by pin, and a drawing of each single transistor's circuit."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.wiring.electrics.drivers import PULL_DOWN_OHM
from panelbridge.wiring.electrics.wired import WiredBoard
from panelbridge.wiring.sheet.chips import ARRAY_CHIP
from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.drawing.recipes import RecipeDrawing
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.driver_names import NamedDriver, drivers_of
from panelbridge.wiring.sheet.strips import strip_at_output
from panelbridge.wiring.sheet.wires import GROUND_RAIL, load_words
from panelbridge.wiring.sheet.words import feed, long_ohm, short_ohm


def driver_pieces(board: WiredBoard) -> Iterator[PinBlock | RecipeDrawing]:
    """A block for each array, a drawing for each transistor."""
    drivers = list(drivers_of(board).values())
    for name in dict.fromkeys(one.name for one in drivers if one.is_array):
        yield _array_block(board, name, [one for one in drivers if one.name == name])
    for driver in drivers:
        if not driver.is_array:
            yield _transistor(board, driver)


def _array_block(board: WiredBoard, name: str, drivers: list[NamedDriver]) -> PinBlock:
    by_output = {one.stage.output: one for one in drivers}
    supplies = sorted({feed(one.part.circuit.supply, one.part.circuit.supply_v) for one in drivers})
    coils = sorted(
        {
            feed(one.part.circuit.supply, one.part.circuit.supply_v)
            for one in drivers
            if one.has_coil
        }
    )
    rows: dict[str, PinRow] = {
        "GND": PinRow(
            "GND", "9", Strip("ground"), words=f"{GROUND_RAIL}, joined with the supplies'"
        )
    }
    if coils:
        common = f"to the plus of {' and '.join(coils)}: the diodes inside protect it"
        rows["COM"] = PinRow("COM", "10", Strip("supply"), words=common)
    for output, driver in by_output.items():
        part = driver.part
        pin = next(iter(part.pins.values()))
        number = ARRAY_CHIP.number(f"IN{output}")
        rows[f"IN{output}"] = PinRow(f"IN{output}", str(number), Strip("wire"), words=f"from {pin}")
        out = f"OUT{output}"
        rows[out] = PinRow(
            out,
            str(ARRAY_CHIP.number(out)),
            strip_at_output(part.circuit),
            part.name,
            load_words(part.circuit),
        )
    sides = [
        tuple(rows.get(pin, PinRow(pin, str(number))) for number, pin in side)
        for side in (ARRAY_CHIP.left, ARRAY_CHIP.right)
    ]
    words = (
        f"{ARRAY_CHIP.kind} from above, its notch at the top ({ARRAY_CHIP.source}). Join "
        f"the ground of {' and '.join(supplies)} with the board's."
    )
    return PinBlock(
        f"{board.name}: driver {name}, {ARRAY_CHIP.kind}", words, sides[0], sides[1], notch=True
    )


def _transistor(board: WiredBoard, driver: NamedDriver) -> RecipeDrawing:
    stage, part = driver.stage, driver.part
    circuit = part.circuit
    coil = driver.has_coil
    terminals = "gate, drain, source" if stage.kind == "mosfet" else "base, collector, emitter"
    fed = feed(circuit.supply, circuit.supply_v)
    words = [
        f"{stage.type.title} ({terminals}), between {next(iter(part.pins.values()))} and "
        f"{part.name}: {load_words(circuit)}.",
        f"{long_ohm(stage.type.input_ohm)} from the pin to its {terminals.partition(',')[0]}.",
        f"Ground of {fed} and ground of the board joined.",
    ]
    if driver.has_pull_down:
        words.insert(2, f"{long_ohm(PULL_DOWN_OHM)} to ground keeps it off while the board starts.")
    if coil and stage.flyback_diode:
        words.insert(2, "Flyback diode across the coil, its band towards the plus of the supply.")
    return RecipeDrawing(
        title=f"{board.name}: driver {driver.name} for {part.name}",
        words=tuple(words),
        pin=next(iter(part.pins.values())),
        transistor="mosfet" if stage.kind == "mosfet" else "npn",
        series=short_ohm(stage.type.input_ohm),
        pull_down=short_ohm(PULL_DOWN_OHM) if driver.has_pull_down else "",
        load=strip_at_output(circuit),
        diode=coil and stage.flyback_diode,
        supply=fed,
    )
