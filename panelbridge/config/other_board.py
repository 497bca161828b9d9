"""A board of another kind, as the panel file describes it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from panelbridge.config.boards import OTHER, Board, BoardCode, Pin
from panelbridge.logic.kit.parameters import Parameters

HIGHEST_PIN = 127
"""Numbers above it are bits of chains on the wire."""
MOST_ITEMS = 112


class OtherPin(Parameters):
    """A pin of a board of another kind."""

    number: Annotated[int, Field(ge=0, le=HIGHEST_PIN)]
    """Its number on the wire: the one that the board's firmware knows it by."""
    digital: bool = True
    """It can be a contact or a lamp."""
    pwm: bool = False
    """It can dim a lamp by pulse width."""
    analogue: bool = False
    """It can read a knob or lever."""
    reserved: str = ""
    """Why it must stay free; nothing can be wired to it then."""

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """A pin that is digital only is its number (``panel_short_forms``)."""
        group = handler.resolve_ref_schema(handler(core_schema))
        number = {**group["properties"]["number"], "description": "Its number alone."}
        return {"description": group["description"], "anyOf": [number, group]}


class OtherBoard(Parameters):
    """What a board of another kind has: its pins, and what its firmware can do."""

    pins: Annotated[dict[str, OtherPin], Field(min_length=1, max_length=HIGHEST_PIN + 1)]
    """Its pins, each under the name that is printed on the board. A pin for contacts and lamps is
    its number alone: PA1: 1. Others are written out: PA4: { number: 4, analogue: true }."""
    supply_v: Annotated[float, Field(ge=1.5, le=5.5)]
    """Voltage of its pins, V: their high level, the pull-ups and the analogue range."""
    counts_full_scale: Annotated[int, Field(ge=1, le=65535)] | None = None
    """What it reports for the full voltage at an analogue pin, counts (1023 with 10 bits); needed
    when it has analogue pins."""
    max_items: Annotated[int, Field(ge=1, le=MOST_ITEMS)] = 32
    """How many switches, lamps and other things its firmware takes (max_items of its HELLO)."""
    resets_on_open: bool = True
    """Opening its port resets it, so that a boot loader may listen for a moment."""
    own_usb: bool = False
    """Its chip has USB itself, so that its port has no speed ('baud' says nothing then)."""
    code: Annotated[int, Field(ge=int(BoardCode.OTHER), le=255)] = int(BoardCode.OTHER)
    """Number of its kind in HELLO (board_code). Give each kind of board of your own another number:
    exchanged ports are found by it."""

    @property
    def hardware(self) -> Board:
        """What such a board can do."""
        pins = {
            name: Pin(name, pin.number, pin.digital, pin.pwm, pin.analogue, pin.reserved)
            for name, pin in self.pins.items()
        }
        return Board(
            OTHER,
            self.code,
            pins,
            self.max_items,
            counts=self.counts_full_scale or 0,
            resets_on_open=self.resets_on_open,
            own_usb=self.own_usb,
            supply_v=self.supply_v,
        )
