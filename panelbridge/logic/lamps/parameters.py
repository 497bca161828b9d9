"""The numbers of the lamps."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class LampParameters(Parameters):
    """Brightness, flashing and tests of the lamps."""

    warning_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.25
    """A lit red or amber lamp is never dimmed below this, fraction of full brightness."""
    other_floor_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.08
    """Any other lit lamp is never dimmed below this, fraction of full brightness."""
    night_fraction: Annotated[float, Field(gt=0.0, le=1.0)] = 0.5
    """Brightest that a lit lamp gets with the night switch on, fraction of full brightness."""
    flashing: list[str] = Field(default_factory=list)
    """Lamps that flash while they are lit, by name; all of them in one phase."""
    flash_hz: Annotated[float, Field(ge=1.0, le=5.0)] = 3.0
    """Flashes in a second, half of the time lit. 3 keeps to WCAG 2 success criterion 2.3.1 (no more
    than 3 in a second)."""
    # MIL-STD-1472 asks for 3 to 5, from memory.
    lamp_test_sounds_horn: bool = True
    """The lamp test sounds the horn too."""
    warning_test_lights: Literal["gear_lamps", "red_lamps"] = "gear_lamps"
    """The gear warning test lights every lamp of the gear, or only its red ones."""
    silence_stops_test: bool = False
    """A button that silences the horn also silences it in the gear warning test, until that ends.
    For a switch with three positions, test, off and silence, wire its two contacts as
    'warning_test' and 'horn_silence': then it makes no difference."""
