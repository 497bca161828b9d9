"""Circuit symbols as pieces of SVG, drawn by schemdraw's own SVG back end.

A strip is what hangs at one pin, drawn from left to right with the pin at the origin. Each is drawn
once and used for every pin that has it; what is written in it is added on the page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal
from xml.etree import ElementTree

from panelbridge.wiring.sheet.drawing.page import PlacedText, SheetPage, TextBox, mm

UNIT_MM = 5.0
"""A unit of the drawing library on the page, mm."""
_UNIT_PT = 36.0
_NOTE = 1.9
_STYLE = "stroke:black;fill:none;stroke-width:2.0;stroke-linecap:round;stroke-linejoin:round;"

StripKind = Literal[
    "led_to_ground",
    "led_to_supply",
    "contact",
    "contact_closed",
    "contact_pulled_up",
    "contact_closed_pulled_up",
    "lever",
    "horn",
    "servo",
    "sounder_to_supply",
    "coil_to_supply",
    "lamp_to_supply",
    "wire",
    "ground",
    "supply",
    "supply_capacitor",
    "fuse",
]
_Spots = Mapping[str, tuple[float, float]]
"""Where a symbol has room for a text, in units of the library."""


@dataclass(frozen=True, slots=True)
class Strip:
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


@dataclass(frozen=True, slots=True)
class _DrawnStrip:
    """A piece of SVG in points, what it covers around its pin, and its spots for texts."""

    elements: str
    box: TextBox
    spots: _Spots


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


def library() -> Any:
    """The elements of schemdraw, which are untyped; imported when something is drawn."""
    from schemdraw import elements

    return elements


@cache
def _drawn(kind: StripKind, fill: str) -> _DrawnStrip:
    import schemdraw

    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(unit=2.0)
    spots = _STRIPS[kind](drawing, fill)
    elements, box = svg_elements(drawing)
    return _DrawnStrip(elements, box, spots)


def _resistor_and_led(drawing: Any, fill: str, *, to_supply: bool) -> _Spots:
    elm = library()
    drawing += elm.ResistorIEC().right().length(1.7)
    led = elm.LED().right().length(1.2)
    if fill != "none":
        led = led.fill(fill)
    drawing += led.reverse() if to_supply else led
    drawing += elm.Vdd() if to_supply else elm.Ground()
    return {"resistor": (0.85, 0.0), "supply": (2.9, 0.35)}


def _contact(drawing: Any, *, closed: bool, pulled_up: bool) -> _Spots:
    """A contact to ground; beside it, if wanted, a pull-up resistor to the supply."""
    elm = library()
    if pulled_up:
        drawing += elm.Line().right().length(0.4)
        drawing += elm.Dot(radius=0.06)
        drawing.push()
        drawing += elm.Line().up().length(0.85)
        drawing += elm.ResistorIEC().right().length(1.6)
        drawing += elm.Vdd().right()
        drawing.pop()
    drawing += elm.Switch(nc=closed).right().length(2.2 if pulled_up else 2.6)
    drawing += elm.Ground()
    return {"resistor": (1.2, 0.85), "supply": (2.0, 1.2)}


def _lever(drawing: Any) -> _Spots:
    elm = library()
    drawing += elm.Line().right().length(0.5)
    drawing += (track := elm.PotentiometerIEC().up().length(1.3).anchor("tap").at((0.5, 0.0)))
    for end, symbol in ((track.start, elm.Ground()), (track.end, elm.Vdd())):
        drawing += elm.Line().right().length(0.8).at(end)
        drawing += symbol.right()
    return {"supply": (track.end.x + 0.8, 1.0)}


def _horn(drawing: Any) -> _Spots:
    elm = library()
    drawing += elm.Crystal().right().length(2.6)
    drawing += elm.Ground()
    return {}


def _servo(drawing: Any) -> _Spots:
    """A box with three wires: signal, supply of its own, ground that is joined."""
    elm = library()
    drawing += elm.Line().right().length(0.6)
    drawing += elm.Rect((0.0, -0.6), (1.5, 0.6)).at((0.6, 0.0)).theta(0)
    for height, symbol in ((0.35, elm.Vdd()), (-0.35, elm.Ground())):
        drawing += elm.Line().at((2.1, height)).right().length(0.5)
        drawing += symbol.right()
    return {"inside": (1.35, 0.0), "supply": (2.6, 0.7)}


def _load_to_supply(drawing: Any, symbol: str) -> _Spots:
    """A coil or bulb between an output of a driver and its supply."""
    elm = library()
    drawing += getattr(elm, symbol)().right().length(2.6)
    drawing += elm.Vdd().right()
    return {"supply": (2.6, 0.35)}


def _wire(drawing: Any) -> _Spots:
    """A wire to another place of the sheet."""
    elm = library()
    drawing += elm.Line().right().length(1.5)
    drawing += elm.Dot(radius=0.09, open=True)
    return {}


def _wire_to(drawing: Any, end: str) -> _Spots:
    elm = library()
    drawing += elm.Line().right().length(1.0)
    drawing += getattr(elm, end)().right()
    return {"supply": (1.0, 0.35)}


def _supply_capacitor(drawing: Any) -> _Spots:
    """A wire to the supply, and a capacitor from it to ground."""
    elm = library()
    drawing += elm.Line().right().length(0.8)
    drawing += elm.Dot(radius=0.06)
    drawing.push()
    drawing += elm.Capacitor().down().length(0.9)
    drawing += elm.Ground()
    drawing.pop()
    drawing += elm.Line().right().length(1.0)
    drawing += elm.Vdd().right()
    return {"supply": (1.8, 0.35), "resistor": (1.9, -0.45)}


def _fuse(drawing: Any) -> _Spots:
    elm = library()
    drawing += elm.FuseIEC().right().length(2.2)
    drawing += elm.Dot(radius=0.09, open=True)
    return {}


_STRIPS: Mapping[StripKind, Callable[[Any, str], _Spots]] = {
    "led_to_ground": lambda drawing, fill: _resistor_and_led(drawing, fill, to_supply=False),
    "led_to_supply": lambda drawing, fill: _resistor_and_led(drawing, fill, to_supply=True),
    "contact": lambda drawing, _: _contact(drawing, closed=False, pulled_up=False),
    "contact_closed": lambda drawing, _: _contact(drawing, closed=True, pulled_up=False),
    "contact_pulled_up": lambda drawing, _: _contact(drawing, closed=False, pulled_up=True),
    "contact_closed_pulled_up": lambda drawing, _: _contact(drawing, closed=True, pulled_up=True),
    "lever": lambda drawing, _: _lever(drawing),
    "horn": lambda drawing, _: _horn(drawing),
    "servo": lambda drawing, _: _servo(drawing),
    "sounder_to_supply": lambda drawing, _: _load_to_supply(drawing, "Crystal"),
    "coil_to_supply": lambda drawing, _: _load_to_supply(drawing, "Inductor2"),
    "lamp_to_supply": lambda drawing, _: _load_to_supply(drawing, "Lamp"),
    "wire": lambda drawing, _: _wire(drawing),
    "ground": lambda drawing, _: _wire_to(drawing, "Ground"),
    "supply": lambda drawing, _: _wire_to(drawing, "Vdd"),
    "supply_capacitor": lambda drawing, _: _supply_capacitor(drawing),
    "fuse": lambda drawing, _: _fuse(drawing),
}
