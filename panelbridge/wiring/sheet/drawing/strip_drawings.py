"""How each strip is drawn with the elements of schemdraw."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

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
Spots = Mapping[str, tuple[float, float]]
"""Where a symbol has room for a text, in units of the library."""


def library() -> Any:
    """The elements of schemdraw, which are untyped; imported when something is drawn."""
    from schemdraw import elements

    return elements


def _resistor_and_led(drawing: Any, fill: str, *, to_supply: bool) -> Spots:
    elm = library()
    drawing += elm.ResistorIEC().right().length(1.7)
    led = elm.LED().right().length(1.2)
    if fill != "none":
        led = led.fill(fill)
    drawing += led.reverse() if to_supply else led
    drawing += elm.Vdd() if to_supply else elm.Ground()
    return {"resistor": (0.85, 0.0), "supply": (2.9, 0.35)}


def _contact(drawing: Any, *, closed: bool, pulled_up: bool) -> Spots:
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


def _lever(drawing: Any) -> Spots:
    elm = library()
    drawing += elm.Line().right().length(0.5)
    drawing += (track := elm.PotentiometerIEC().up().length(1.3).anchor("tap").at((0.5, 0.0)))
    for end, symbol in ((track.start, elm.Ground()), (track.end, elm.Vdd())):
        drawing += elm.Line().right().length(0.8).at(end)
        drawing += symbol.right()
    return {"supply": (track.end.x + 0.8, 1.0)}


def _horn(drawing: Any) -> Spots:
    elm = library()
    drawing += elm.Crystal().right().length(2.6)
    drawing += elm.Ground()
    return {}


def _servo(drawing: Any) -> Spots:
    """A box with three wires: signal, supply of its own, ground that is joined."""
    elm = library()
    drawing += elm.Line().right().length(0.6)
    drawing += elm.Rect((0.0, -0.6), (1.5, 0.6)).at((0.6, 0.0)).theta(0)
    for height, symbol in ((0.35, elm.Vdd()), (-0.35, elm.Ground())):
        drawing += elm.Line().at((2.1, height)).right().length(0.5)
        drawing += symbol.right()
    return {"inside": (1.35, 0.0), "supply": (2.6, 0.7)}


def _load_to_supply(drawing: Any, symbol: str) -> Spots:
    """A coil or bulb between an output of a driver and its supply."""
    elm = library()
    drawing += getattr(elm, symbol)().right().length(2.6)
    drawing += elm.Vdd().right()
    return {"supply": (2.6, 0.35)}


def _wire(drawing: Any) -> Spots:
    """A wire to another place of the sheet."""
    elm = library()
    drawing += elm.Line().right().length(1.5)
    drawing += elm.Dot(radius=0.09, open=True)
    return {}


def _wire_to(drawing: Any, end: str) -> Spots:
    elm = library()
    drawing += elm.Line().right().length(1.0)
    drawing += getattr(elm, end)().right()
    return {"supply": (1.0, 0.35)}


def _supply_capacitor(drawing: Any) -> Spots:
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


def _fuse(drawing: Any) -> Spots:
    elm = library()
    drawing += elm.FuseIEC().right().length(2.2)
    drawing += elm.Dot(radius=0.09, open=True)
    return {}


STRIPS: Mapping[StripKind, Callable[[Any, str], Spots]] = {
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
