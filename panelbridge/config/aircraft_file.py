"""The aircraft file: the numbers and rules of an aircraft type."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from panelbridge.config.value_names import add_value_keys, each_value
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.signals import Value


class StartCondition(Parameters):
    """How a scenario can begin: aircraft values by name. A value that is left out is unknown."""

    model_config = ConfigDict(extra="allow", json_schema_extra=add_value_keys)

    like: str | None = None
    """Name of another start: it begins as that one, but for the values that stand here."""


class AircraftFile(AircraftParameters):
    """An aircraft file: the parameters of every system."""

    kind: Literal["aircraft"]
    """What this file is."""
    format: Literal[2]
    """Version of the file's layout; this program reads 2."""
    starts: dict[str, StartCondition] = Field(default_factory=dict)
    """How scenarios can begin, each under a name of yours: parked, final approach."""

    def start_values(self, name: str) -> dict[str, Value]:
        """Aircraft values of the start ``name`` by name, those of starts that it is like included.

        None makes a value unknown.
        """
        start = self.starts[name]
        others = self.start_values(start.like) if start.like is not None else {}
        return others | each_value(self, start.model_extra or {})
