"""Circuit symbols as pieces of SVG, drawn by schemdraw's own SVG back end.

A strip is what hangs at one pin, drawn from left to right with the pin at the origin. Each is drawn
once and used for every pin that has it; what is written in it is added on the page.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any
from xml.etree import ElementTree

from msgspec import Struct

from panelbridge.wiring.sheet.drawing.page import PlacedText, SheetPage, TextBox, mm
from panelbridge.wiring.sheet.drawing.strip_drawings import STRIPS, Spots, StripKind

UNIT_MM = 5.0
"""A unit of the drawing library on the page, mm."""
_UNIT_PT = 36.0
_NOTE = 1.9
_STYLE = "stroke:black;fill:none;stroke-width:2.0;stroke-linecap:round;stroke-linejoin:round;"


class Strip(Struct, frozen=True):
    """What hangs at a pin.

    Attributes:
        kind: which symbols.
        fill: colour of its lamp; ``none`` without one.
        resistor: value that is written in its resistor.
        supply: name that is written at its supply.
        inside: what is written in its box.
    """

    kind: StripKind
    fill: str = "none"
    resistor: str = ""
    supply: str = ""
    inside: str = ""

    @property
    def above(self) -> float:
        """How far it reaches above the line of the pin, mm."""
        return -_drawn(self.kind, self.fill).box.top

    @property
    def below(self) -> float:
        """How far it reaches below the line of the pin, mm."""
        return _drawn(self.kind, self.fill).box.bottom

    def draw(self, page: SheetPage, x: float, y: float, *, mirrored: bool) -> None:
        """Put it on a page, to the right of the pin or to the left."""
        drawn = _drawn(self.kind, self.fill)
        side = -1 if mirrored else 1
        scale = UNIT_MM / _UNIT_PT
        place = f"translate({mm(x)} {mm(y)}) scale({side * scale:.5f} {scale:.5f})"
        ends = sorted((x + side * drawn.box.left, x + side * drawn.box.right))
        covers = TextBox(ends[0], y + drawn.box.top, ends[1], y + drawn.box.bottom)
        page.shape(f'<g transform="{place}" style="{_STYLE}">{drawn.elements}</g>', covers)
        for name, text in (
            ("resistor", self.resistor),
            ("supply", self.supply),
            ("inside", self.inside),
        ):
            if text:
                across, up = drawn.spots[name]
                beside = name == "supply"
                anchor = ("end" if mirrored else "start") if beside else "middle"
                place_x = x + side * (across * UNIT_MM + (1.4 if beside else 0.0))
                line = y - up * UNIT_MM + 0.36 * _NOTE
                page.note(PlacedText(text, place_x, line, _NOTE, anchor))  # type: ignore[arg-type]


class _DrawnStrip(Struct, frozen=True):
    """A piece of SVG in points, what it covers around its pin, and its spots for texts."""

    elements: str
    box: TextBox
    spots: Spots


def svg_elements(drawing: Any) -> tuple[str, TextBox]:
    """The elements of a drawing of the library, and what they cover, mm."""
    root = ElementTree.fromstring(drawing.get_imagedata("svg"))
    found = []
    for element in root:
        element.tag = element.tag.rpartition("}")[2]
        style = element.get("style", "").replace("stroke-dasharray:-;", "")
        if style == _STYLE:
            del element.attrib["style"]
        else:
            element.set("style", style)
        found.append(ElementTree.tostring(element, encoding="unicode").strip())
    rounded = re.sub(r"-?\d+\.\d+", lambda number: mm(float(number[0])), "".join(found))
    box = drawing.get_bbox()
    covers = TextBox(*(side * UNIT_MM for side in (box.xmin, -box.ymax, box.xmax, -box.ymin)))
    return rounded, covers


@cache
def _drawn(kind: StripKind, fill: str) -> _DrawnStrip:
    import schemdraw

    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=2.0)
    spots = STRIPS[kind](drawing, fill)
    elements, box = svg_elements(drawing)
    return _DrawnStrip(elements, box, spots)
