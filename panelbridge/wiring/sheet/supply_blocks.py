"""The supplies of the panel's own that feed parts of a board: fuse, plus, and the joined ground."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.wiring.electrics.circuits import ServoCircuit
from panelbridge.wiring.electrics.currents import total
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPart
from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.words import feed


def _title(part: WiredPart) -> str:
    """The supply of a part; one without a name is shared by servos only, whose voltage is one."""
    circuit = part.circuit
    if circuit.supply:
        return f"supply {feed(circuit.supply, circuit.supply_v)}"
    return f"supply of {'the servos' if isinstance(circuit, ServoCircuit) else part.name}"


def supply_blocks(board: WiredBoard) -> Iterator[PinBlock]:
    """A block for each supply that servos and drivers of this board need."""
    fed: dict[str, list[WiredPart]] = {}
    for part in board.parts:
        circuit = part.circuit
        behind = circuit.driver is not None or isinstance(circuit, ServoCircuit)
        if behind and circuit.supply != BOARD_SUPPLY:
            fed.setdefault(_title(part), []).append(part)
    for name, parts in fed.items():
        worst_ma = total(part.circuit.load for part in parts).worst_ma
        takes = f", up to {worst_ma:.0f} mA in all" if worst_ma else ""
        words = f"{', '.join(part.name for part in parts)}{takes}"
        minus = PinRow("minus", strip=Strip("ground"), words="to the ground rail of the board")
        plus = PinRow("plus", strip=Strip("fuse"), words=f"through a fuse to {words}")
        yield PinBlock(f"{board.name}: {name}", "", (minus,), (plus,))
