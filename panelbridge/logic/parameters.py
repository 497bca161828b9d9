"""The base of every group of parameters in an aircraft file.

A group stands in the module of the system that reads it, so that a rule, its numbers, their units
and ranges and their source are found in one place. The config room composes the groups into the
aircraft file; nothing here knows of files.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Parameters(BaseModel):
    """Frozen, strict (no text turned into numbers), unknown keys refused, no NaN or infinity."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, use_attribute_docstrings=True
    )
