"""What every part at a board has: the name of its board, and a short form for its pin."""

from __future__ import annotations

from pydantic import GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from panelbridge.logic.kit.parameters import Parameters

FILLED_IN = ("board", "colour")
"""Keys that the loader fills in when a file leaves them out."""


class OnBoard(Parameters):
    """A part at a board."""

    board: str
    """Name of the board, one of the keys under 'boards'; not needed when there is only one."""

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """What a file may leave out (``panel_short_forms``) is not required, and a pin is short."""
        group = handler.resolve_ref_schema(handler(core_schema))
        group["required"] = [key for key in group["required"] if key not in FILLED_IN]
        if group["required"] != ["pin"]:
            return group
        pin = group["properties"]["pin"]
        short = {"type": "string", "pattern": pin["pattern"], "description": "Its pin alone."}
        bare = {"type": "null", "description": "Its name alone: 'panelbridge plan' gives it a pin."}
        return {"description": group["description"], "anyOf": [short, bare, group]}
