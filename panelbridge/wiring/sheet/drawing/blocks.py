"""A board or chip as a block: its pins in order on both sides, and what hangs there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.wiring.sheet.drawing.page import A4_MM, MARGIN_MM, Anchor, PlacedText, SheetPage
from panelbridge.wiring.sheet.drawing.symbols import Strip
from panelbridge.wiring.sheet.drawing.text_width import text_width, wrap

BLOCK_MM = 29.0
"""Width of a block's body."""
_STRIP_MM = 22.5
"""Width of the symbols beside it."""
_TEXT_MM = (A4_MM[0] - 2 * MARGIN_MM - BLOCK_MM) / 2 - _STRIP_MM - 5.0
_NAME = 2.5
_SMALL = 2.15
_LINE = 1.22
_TICK_MM = 2.6


class PinRow(Struct, frozen=True):
    """A pin of a block.

    Attributes:
        label: what is printed at it.
        number: its number on a chip; empty elsewhere.
        strip: what hangs there; None when it stays free.
        name: the name of that in the panel file.
        words: what else there is to say, in lines.
        tick: it has a place to tick its wire off.
        heading: it is no pin but the name of the pins that follow.
    """

    label: str
    number: str = ""
    strip: Strip | None = None
    name: str = ""
    words: str = ""
    tick: bool = True
    heading: bool = False

    @property
    def lines(self) -> tuple[PlacedText, ...]:
        """Its texts, at the height of their lines below 0."""
        return _row_lines(self.name, self.words)

    @property
    def _text_mm(self) -> float:
        lines = self.lines
        return lines[-1].y + 0.3 * lines[-1].size if lines else 0.0

    @property
    def above(self) -> float:
        """What it takes above its line, mm."""
        if self.heading:
            return 3.6
        strip = self.strip.above if self.strip else 0.0
        return max(strip, self._text_mm / 2, 1.3) + 0.5

    @property
    def height(self) -> float:
        """What it takes in all, mm."""
        if self.heading:
            return 4.6
        strip = self.strip.below if self.strip else 0.0
        return self.above + max(strip, self._text_mm / 2, 1.3) + 0.5

    def draw(self, page: SheetPage, x: float, y: float, *, mirrored: bool) -> None:
        """Draw it.

        Args:
            page: where.
            x: edge of the block.
            y: line of the pin.
            mirrored: it is on the left of its block.
        """
        side = -1 if mirrored else 1
        ends: tuple[Anchor, Anchor] = ("start", "end") if mirrored else ("end", "start")
        inner, outer = ends
        grey = "black" if self.strip else "#666"
        numbered = f"{self.number} {self.label}" if mirrored else f"{self.label} {self.number}"
        label = numbered.strip() if self.number else self.label
        size = 2.5 if self.strip else 2.1
        bold = self.strip is not None
        page.write(PlacedText(label, x - side * 1.2, y + 0.35 * size, size, inner, bold, grey))
        if self.strip is None:
            return
        self.strip.draw(page, x, y, mirrored=mirrored)
        text_x = x + side * (_STRIP_MM + 1.0)
        for text in self.lines:
            top = y - self._text_mm / 2 + text.y
            page.write(replace(text, x=text_x, y=top, anchor=outer))
        if self.tick:
            end = x + side * (_STRIP_MM + _TEXT_MM + 4.6)
            left = end if mirrored else end - _TICK_MM
            page.box(left, y - _TICK_MM / 2, _TICK_MM, _TICK_MM, stroke=0.2)


@cache
def _row_lines(name: str, words: str) -> tuple[PlacedText, ...]:
    texts: list[PlacedText] = []
    y = 0.0
    for text, size, bold in ((name, _NAME, True), (words, _SMALL, False)):
        for line in (
            line for part in text.splitlines() for line in wrap(part, _TEXT_MM, size, bold=bold)
        ):
            y += size * _LINE
            texts.append(PlacedText(line, 0.0, y - 0.3 * size, size, bold=bold))
    return tuple(texts)


class PinBlock(Struct, frozen=True):
    """A body with pins on its left and on its right.

    Attributes:
        title: above it.
        words: below the title, in small letters.
        notch: it is a chip, whose pin 1 is at the notch.
    """

    title: str
    words: str
    left: tuple[PinRow, ...]
    right: tuple[PinRow, ...]
    notch: bool = False

    @property
    def _title_lines(self) -> list[PlacedText]:
        y = 3.4
        texts = [PlacedText(self.title, 0.0, y, 3.2, bold=True)]
        for line in wrap(self.words, A4_MM[0] - 2 * MARGIN_MM, _SMALL):
            y += _SMALL * 1.35
            texts.append(PlacedText(line, 0.0, y, _SMALL))
        return texts

    @property
    def _title_mm(self) -> float:
        return self._title_lines[-1].y + 2.0

    @property
    def height(self) -> float:
        """What it takes on a page, mm."""
        return self._title_mm + self._body_mm + 4.0

    @property
    def _body_mm(self) -> float:
        return max(_height(self.left), _height(self.right)) + (3.0 if self.notch else 1.5)

    def split(self, room: float) -> tuple[PinBlock, PinBlock]:
        """What fits into ``room`` mm, and the rest."""
        rest = room - self._title_mm - 6.0
        left, right = _fitting(self.left, rest), _fitting(self.right, rest)
        first = replace(self, left=self.left[:left], right=self.right[:right])
        title = self.title if self.title.endswith("(continued)") else f"{self.title} (continued)"
        second = replace(self, title=title, left=self.left[left:], right=self.right[right:])
        return first, second

    def draw(self, page: SheetPage, y: float) -> None:
        """Draw it with its upper edge at ``y``."""
        for text in self._title_lines:
            page.write(replace(text, x=MARGIN_MM, y=y + text.y))
        top = y + self._title_mm
        x = (A4_MM[0] - BLOCK_MM) / 2
        page.box(x, top, BLOCK_MM, self._body_mm, stroke=0.5)
        if self.notch:
            middle = A4_MM[0] / 2
            page.outline(f"M {middle - 1.5:.2f} {top:.2f} a 1.5 1.5 0 0 0 3 0")
        start = top + (2.0 if self.notch else 0.5)
        for rows, edge, mirrored in ((self.left, x, True), (self.right, x + BLOCK_MM, False)):
            for row, line in _lines(rows, start):
                if row.heading:
                    self._draw_heading(page, row.label, edge, line, mirrored=mirrored)
                else:
                    row.draw(page, edge, line, mirrored=mirrored)

    @staticmethod
    def _draw_heading(
        page: SheetPage, label: str, edge: float, line: float, *, mirrored: bool
    ) -> None:
        """The name of a header, outside the block, and a line under it inside."""
        side = -1 if mirrored else 1
        anchor: Anchor = "end" if mirrored else "start"
        text = PlacedText(label, edge + side * 1.2, line - 0.4, _SMALL, anchor, bold=True)
        page.write(text)
        width = text_width(label, _SMALL, bold=True) + 1.2
        page.line(edge, line + 0.4, edge + side * width, line + 0.4, 0.2)


def _height(rows: Sequence[PinRow]) -> float:
    return sum(row.height for row in rows)


def _lines(rows: Sequence[PinRow], y: float) -> Iterator[tuple[PinRow, float]]:
    """Each row with the height of its line on the page."""
    for row in rows:
        yield row, y + row.above
        y += row.height


def _fitting(rows: Sequence[PinRow], room: float) -> int:
    """How many rows fit into ``room`` mm; a heading goes with what it is the heading of."""
    count = 0
    for row in rows:
        room -= row.height
        if room < 0:
            break
        count += 1
    while 0 < count < len(rows) and rows[count - 1].heading:
        count -= 1
    return count
