"""A page of A4 in millimetres: lines, symbols and texts whose places are known."""

from __future__ import annotations

from html import escape
from typing import Literal

from msgspec import Struct, field

from panelbridge.wiring.sheet.drawing.text_width import text_width

A4_MM = (210.0, 297.0)
MARGIN_MM = 10.0
SHEET_MARK = "panelbridge wiring sheet"
"""Stands at the beginning of every drawn file."""
_FONT = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"

Anchor = Literal["start", "middle", "end"]


class TextBox(Struct, frozen=True):
    """Where something is on a page, mm from its upper left corner."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: TextBox) -> bool:
        """Whether the two have a part of the page in common."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


class PlacedText(Struct, frozen=True):
    """A text on a page.

    Attributes:
        x: of its anchor, mm.
        y: of its base line, mm.
        size: of its letters, mm.
    """

    text: str
    x: float
    y: float
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    colour: str = "black"

    @property
    def box(self) -> TextBox:
        """What it covers at most."""
        width = text_width(self.text, self.size, bold=self.bold)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return TextBox(left, self.y - 0.76 * self.size, left + width, self.y + 0.22 * self.size)

    def svg(self) -> str:
        """The element."""
        style = f' text-anchor="{self.anchor}"' if self.anchor != "start" else ""
        style += ' font-weight="bold"' if self.bold else ""
        style += f' fill="{self.colour}"' if self.colour != "black" else ""
        place = f'x="{mm(self.x)}" y="{mm(self.y)}" font-size="{mm(self.size)}"'
        return f"<text {place}{style}>{escape(self.text)}</text>"


def mm(value: float) -> str:
    """A number of mm to a hundredth, without zeros at its end."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class SheetPage(Struct):
    """A page that is being drawn.

    Attributes:
        texts: what is written on it, beside its symbols.
        notes: what is written in its symbols.
        covered: what its symbols cover.
    """

    texts: list[PlacedText] = field(default_factory=list)
    notes: list[PlacedText] = field(default_factory=list)
    covered: list[TextBox] = field(default_factory=list)
    _shapes: list[str] = field(default_factory=list)

    def write(self, text: PlacedText) -> None:
        """Write a text."""
        self.texts.append(text)

    def note(self, text: PlacedText) -> None:
        """Write a text that stands in a symbol, where the symbol has room for it."""
        self.notes.append(text)

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float = 0.3) -> None:
        """Draw a straight line."""
        ends = f'x1="{mm(x1)}" y1="{mm(y1)}" x2="{mm(x2)}" y2="{mm(y2)}"'
        self._shapes.append(f'<line {ends} stroke="black" stroke-width="{mm(width)}"/>')

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        stroke: float = 0.3,
    ) -> None:
        """Draw a rectangle."""
        size = f'x="{mm(x)}" y="{mm(y)}" width="{mm(width)}" height="{mm(height)}"'
        edge = f'stroke="black" stroke-width="{mm(stroke)}"' if stroke else ""
        self._shapes.append(f'<rect {size} fill="{fill}" {edge}/>')

    def outline(self, path: str) -> None:
        """Draw a path."""
        self._shapes.append(f'<path d="{path}" fill="none" stroke="black" stroke-width="0.5"/>')

    def shape(self, element: str, covers: TextBox) -> None:
        """Add a finished element that covers a part of the page."""
        self._shapes.append(element)
        self.covered.append(covers)

    def svg(self, title: str) -> str:
        """The page as a file of its own."""
        width, height = (mm(side) for side in A4_MM)
        return "\n".join(
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
                f' viewBox="0 0 {width} {height}" font-family="{_FONT}">',
                f"<!-- {SHEET_MARK} -->",
                f"<title>{escape(title)}</title>",
                f'<rect width="{width}" height="{height}" fill="white"/>',
                *self._shapes,
                *(text.svg() for text in (*self.texts, *self.notes)),
                "</svg>\n",
            )
        )
