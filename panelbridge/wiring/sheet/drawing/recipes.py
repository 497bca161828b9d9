"""The circuit of one transistor between a pin and a load that is too much for the pin."""

from __future__ import annotations

from functools import cache
from typing import Any, Literal

from msgspec import Struct

from panelbridge.wiring.sheet.drawing.page import MARGIN_MM, PlacedText, SheetPage, TextBox, mm
from panelbridge.wiring.sheet.drawing.paging import WIDTH_MM
from panelbridge.wiring.sheet.drawing.strip_drawings import library
from panelbridge.wiring.sheet.drawing.symbols import UNIT_MM, Strip, svg_elements
from panelbridge.wiring.sheet.drawing.text_width import wrap

_FIGURE_MM = 78.0
_ABOVE_MM = 24.0
_BELOW_MM = 17.0
_TEXT = 2.3


class RecipeDrawing(Struct, frozen=True):
    """A drawing with sentences beside it.

    Attributes:
        title: above it.
        words: sentences beside it.
        pin: of the board, which switches it.
        transistor: what it is.
        series: value of the resistor at its input.
        pull_down: value of the resistor that keeps it off; empty without one.
        load: its symbols.
        diode: there is a flyback diode across the load.
        supply: name of the load's supply.
    """

    title: str
    words: tuple[str, ...]
    pin: str
    transistor: Literal["mosfet", "npn"]
    series: str
    pull_down: str
    load: Strip
    diode: bool
    supply: str

    @property
    def height(self) -> float:
        """What it takes on a page, mm."""
        return 6.0 + _ABOVE_MM + _BELOW_MM

    def draw(self, page: SheetPage, y: float) -> None:
        """Draw it with its upper edge at ``y``."""
        page.write(PlacedText(self.title, MARGIN_MM, y + 3.4, 3.2, bold=True))
        x, line = MARGIN_MM + 12.0, y + 6.0 + _ABOVE_MM
        drawn, spots = _circuit(
            self.transistor, bool(self.pull_down), self.load.kind, self.load.fill, self.diode
        )
        scale = UNIT_MM / 36.0
        covers = TextBox(x, line - 20.0, x + 36.0, line + 14.0)
        page.shape(
            f'<g transform="translate({mm(x)} {mm(line)}) scale({scale:.5f})" '
            f'style="stroke:black;fill:none;stroke-width:2.0;stroke-linecap:round;'
            f'stroke-linejoin:round;">{drawn}</g>',
            covers,
        )
        page.write(PlacedText(self.pin, x - 1.0, line + 0.9, 2.6, "end", bold=True))
        for name, text in (
            ("series", self.series),
            ("pull_down", self.pull_down),
            ("supply", self.supply),
            ("resistor", self.load.resistor),
            *((letter, letter) for letter in "GDSBCE"),
        ):
            if text and name in spots:
                across, up = spots[name]
                place = x + across * UNIT_MM, line - up * UNIT_MM + 0.7
                page.note(
                    PlacedText(
                        text,
                        *place,
                        1.9,
                        "middle" if name == "series" or len(name) == 1 else "start",
                    )
                )
        top = y + 9.0
        for sentence in self.words:
            for number, text in enumerate(wrap(sentence, WIDTH_MM - _FIGURE_MM - 4.0, _TEXT)):
                if number == 0:
                    page.write(PlacedText("–", MARGIN_MM + _FIGURE_MM, top, _TEXT))
                page.write(PlacedText(text, MARGIN_MM + _FIGURE_MM + 3.0, top, _TEXT))
                top += _TEXT * 1.4


@cache
def _circuit(
    transistor: str, pull_down: bool, load: str, fill: str, diode: bool
) -> tuple[str, dict[str, tuple[float, float]]]:
    """The elements, and where their values stand, in units from the pin."""
    import schemdraw

    elm = library()
    drawing: Any = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=2.0)
    drawing += elm.ResistorIEC().right().length(2.2)
    spots = {"series": (1.1, 0.0)}
    letters = "GDS" if transistor == "mosfet" else "BCE"
    drawing += elm.Dot(radius=0.06)
    drawing.push()
    if pull_down:
        drawing += elm.ResistorIEC().down().length(1.8)
        drawing += elm.Ground()
        spots["pull_down"] = (2.6, -0.9)
    drawing.pop()
    drawing += elm.Line().right().length(0.7)
    here = drawing.here
    if transistor == "mosfet":
        drawing += (its := elm.NFet().right().reverse().anchor("gate").at(here))
        low, high = its.source, its.drain
    else:
        drawing += (its := elm.BjtNpn(circle=True).right().anchor("base").at(here))
        low, high = its.emitter, its.collector
    spots[letters[0]] = (here.x - 0.28, 0.28)
    spots[letters[1]] = (high.x + 0.3, high.y)
    spots[letters[2]] = (low.x + 0.3, low.y)
    drawing += elm.Line().down().at(low).toy(-1.3)
    drawing += elm.Ground()
    drawing += elm.Line().up().at(high).toy(1.2)
    if diode:
        drawing += elm.Dot(radius=0.06)
    x = high.x
    if load == "led_to_supply":
        drawing += elm.LED().down().at((x, 2.2)).toy(1.2).fill(fill)
        drawing += elm.ResistorIEC().up().at((x, 2.2)).length(1.6)
        spots["resistor"] = (x + 0.4, 3.0)
        top = 3.8
    else:
        symbol = {"coil_to_supply": elm.Inductor2, "lamp_to_supply": elm.Lamp}.get(
            load, elm.Crystal
        )
        drawing += symbol().up().at((x, 1.2)).toy(3.2)
        top = 3.2
    if diode:
        drawing += elm.Dot(radius=0.06)
        drawing += elm.Line().right().at((x, 1.2)).length(1.5)
        drawing += elm.Diode().up().toy(3.2)
        drawing += elm.Line().left().length(1.5)
    drawing += elm.Vdd().right().at((x, top))
    spots["supply"] = (x + 0.5, top + 0.35)
    elements, _ = svg_elements(drawing)
    return elements, spots
