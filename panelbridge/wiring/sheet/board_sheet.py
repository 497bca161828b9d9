"""The drawn sheet of a board: its headers, chains, drivers and what to mind, as pages of A4."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel
from panelbridge.wiring.sheet.board_blocks import chain_blocks, header_blocks
from panelbridge.wiring.sheet.cautions import FOOT, notes_of
from panelbridge.wiring.sheet.drawing.page import SheetPage
from panelbridge.wiring.sheet.drawing.paging import Paragraph, Piece, finish, lay_out
from panelbridge.wiring.sheet.driver_blocks import driver_pieces
from panelbridge.wiring.sheet.problems import STOP, errors_of_board
from panelbridge.wiring.sheet.wires import board_wires


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
    for board in wired.boards.values():
        pages = board_pages(wired, board, dated)
        for number, page in enumerate(pages, 1):
            name = board.name if number == 1 else f"{board.name}-{number}"
            title = f"{wired.panel.name}: {board.name}, sheet {number} of {len(pages)}"
            yield name, page.svg(title)


def _pieces(wired: WiredPanel, board: WiredBoard) -> Iterator[Piece]:
    errors = errors_of_board(wired, board)
    if errors:
        yield Paragraph(STOP, errors)
    wires = {wire.pin: wire for wire in board_wires(wired, board)}
    yield from header_blocks(board, wires)
    for chain in board.chains.values():
        yield from chain_blocks(board, chain, wires)
    yield from driver_pieces(board)
    yield Paragraph("Before you wire", notes_of(board))
