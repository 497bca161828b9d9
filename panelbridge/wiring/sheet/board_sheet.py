"""The drawn sheet of a board: its headers, chains, drivers and what to mind, as pages of A4."""

from __future__ import annotations

import re
from collections.abc import Iterator

from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.wiring.electrics.circuits import ServoCircuit
from panelbridge.wiring.electrics.currents import total
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart
from panelbridge.wiring.sheet.board_blocks import chain_blocks, header_blocks
from panelbridge.wiring.sheet.cautions import FOOT, notes_of
from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.drawing.page import SheetPage
from panelbridge.wiring.sheet.drawing.paging import Paragraph, Piece, finish, lay_out
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.driver_blocks import driver_pieces
from panelbridge.wiring.sheet.problems import STOP, errors_of_board
from panelbridge.wiring.sheet.wires import board_wires
from panelbridge.wiring.sheet.words import feed


def board_pages(wired: WiredPanel, board: WiredBoard, dated: str = "") -> list[SheetPage]:
    """The pages of a board's sheet.

    Args:
        wired: the panel.
        board: one of its boards.
        dated: a date for the head of each page; empty for none.
    """
    pages = lay_out(_pieces(wired, board))
    parts = f"board {board.hardware.kind}, {len(board.parts)} parts"
    under = ", ".join(filter(None, (parts, dated)))
    finish(pages, f"{wired.panel.name}: {board.name}", under, FOOT)
    return pages


def sheet_files(wired: WiredPanel, dated: str = "") -> Iterator[tuple[str, str]]:
    """The name of each drawn page, and its SVG: ``gear_panel``, ``gear_panel-2``."""
    taken: set[str] = set()
    for board in wired.boards.values():
        pages = board_pages(wired, board, dated)
        stem = _file_name(board.name, taken)
        for number, page in enumerate(pages, 1):
            name = stem if number == 1 else f"{stem}-{number}"
            title = f"{wired.panel.name}: {board.name}, sheet {number} of {len(pages)}"
            yield name, page.svg(title)


def _file_name(board: str, taken: set[str]) -> str:
    """A board's name as a part of a file name that every system takes, and no other board has."""
    name = re.sub(r"[^A-Za-z0-9_]", "_", board)
    while name.lower() in taken:
        name += "_"
    taken.add(name.lower())
    return name


def _pieces(wired: WiredPanel, board: WiredBoard) -> Iterator[Piece]:
    errors = errors_of_board(wired, board)
    if errors:
        yield Paragraph(STOP, errors)
    wires = {wire.pin: wire for wire in board_wires(wired, board)}
    yield from header_blocks(board, wires)
    for chain in board.chains.values():
        yield from chain_blocks(board, chain, wires)
    yield from driver_pieces(board)
    yield from supply_blocks(board)
    yield Paragraph("Before you wire", notes_of(board))


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
