"""Pieces of a sheet, one below the other, on as many pages as they need."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from msgspec import Struct

from panelbridge.wiring.sheet.drawing.blocks import PinBlock
from panelbridge.wiring.sheet.drawing.page import A4_MM, MARGIN_MM, PlacedText, SheetPage
from panelbridge.wiring.sheet.drawing.text_width import wrap

_HEAD_MM = 13.0
_FOOT_MM = 8.0
_WORTH_FILLING = 0.5
"""A block is divided only where at least this part of a page is left."""
WIDTH_MM = A4_MM[0] - 2 * MARGIN_MM
ROOM_MM = A4_MM[1] - 2 * MARGIN_MM - _HEAD_MM - _FOOT_MM
"""What a page has for pieces, mm."""


class Piece(Protocol):
    """Something that takes the whole width of a page."""

    @property
    def height(self) -> float:
        """What it takes on a page, mm."""
        ...

    def draw(self, page: SheetPage, y: float) -> None:
        """Draw it with its upper edge at ``y``."""
        ...


class Paragraph(Struct, frozen=True):
    """A heading and sentences below it.

    Attributes:
        title: in bold letters.
        sentences: each begins a line with a dash.
    """

    title: str
    sentences: tuple[str, ...]

    @property
    def _texts(self) -> list[PlacedText]:
        y = 3.2
        texts = [PlacedText(self.title, MARGIN_MM, y, 3.0, bold=True)]
        for sentence in self.sentences:
            for number, line in enumerate(wrap(sentence, WIDTH_MM - 4.0, 2.3)):
                y += 2.3 * 1.4
                if number == 0:
                    texts.append(PlacedText("–", MARGIN_MM, y, 2.3))
                texts.append(PlacedText(line, MARGIN_MM + 3.0, y, 2.3))
        return texts

    @property
    def height(self) -> float:
        """What it takes on a page, mm."""
        return self._texts[-1].y + 4.0

    def draw(self, page: SheetPage, y: float) -> None:
        """Draw it with its upper edge at ``y``."""
        for text in self._texts:
            page.write(PlacedText(text.text, text.x, y + text.y, text.size, bold=text.bold))


def lay_out(pieces: Iterable[Piece]) -> list[SheetPage]:
    """The pages, without their heads and feet."""
    pages = [SheetPage()]
    top = MARGIN_MM + _HEAD_MM
    y = top
    waiting = list(pieces)
    while waiting:
        piece = waiting.pop(0)
        room = top + ROOM_MM - y
        if piece.height <= room:
            piece.draw(pages[-1], y)
            y += piece.height
            continue
        if (
            isinstance(piece, PinBlock)
            and piece.height > ROOM_MM
            and (room >= _WORTH_FILLING * ROOM_MM)
        ):
            first, rest = piece.split(room)
            first.draw(pages[-1], y)
            waiting.insert(0, rest)
        else:
            waiting.insert(0, piece)
        pages.append(SheetPage())
        y = top
    return pages


def finish(pages: list[SheetPage], title: str, under: str, foot: str) -> None:
    """Write the head and the foot of each page."""
    for number, page in enumerate(pages, 1):
        page.write(PlacedText(title, MARGIN_MM, MARGIN_MM + 4.6, 4.6, bold=True))
        page.write(PlacedText(under, MARGIN_MM, MARGIN_MM + 9.0, 2.4))
        place = f"sheet {number} of {len(pages)}"
        page.write(PlacedText(place, A4_MM[0] - MARGIN_MM, MARGIN_MM + 9.0, 2.4, "end"))
        page.line(MARGIN_MM, MARGIN_MM + 11.0, A4_MM[0] - MARGIN_MM, MARGIN_MM + 11.0)
        y = A4_MM[1] - MARGIN_MM
        page.line(MARGIN_MM, y - 6.4, A4_MM[0] - MARGIN_MM, y - 6.4, 0.2)
        for line, text in enumerate(wrap(foot, WIDTH_MM, 2.1)[:2]):
            page.write(PlacedText(text, MARGIN_MM, y - 3.4 + line * 2.9, 2.1))
