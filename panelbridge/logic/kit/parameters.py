"""The base of every group of parameters in an aircraft file.

A group stands beside the system that reads it, so that a rule, its numbers, their units, ranges and
source are in one place. Nothing here knows of files.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Parameters(BaseModel):
    """Frozen, strict (no text turned into numbers), unknown keys refused, no NaN or infinity."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, use_attribute_docstrings=True
    )
