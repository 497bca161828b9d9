"""How a lamp of the builder's own stands in the aircraft file."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters

LAMP_NAME = r"^[a-z][a-z0-9_]{0,30}_(red|amber|green|white|blue)$"
"""The name of a lamp ends in its colour."""


class OwnLampParameters(Parameters):
    """A lamp that is lit by a condition."""

    label: Annotated[str, Field(min_length=1, max_length=60)]
    """Words for people: what it says when it is lit."""
    lit_when: dict[str, Any]
    """Single signals and what they are, as in a scenario's 'expect': {gear: locked_down,
    airspeed_kias: {above: 200}}; all must hold. any: [...], all: [...] and not: {...} put such
    groups together. While a signal is unknown that the answer depends on, the lamp is dark."""
