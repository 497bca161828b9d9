"""For how long data may be missing."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class MissingDataParameters(Parameters):
    """For how long data may be missing before it is a fault."""

    warning_limit_s: Annotated[float, Field(gt=0.0, le=600.0)] | None = 10.0
    """Longest time in the air that throttles or flaps may be unknown while the squat switches are
    known, s; then a fault says that the gear warning cannot work. null = for ever."""
    flaps_expected: bool = True
    """The feed gives the flap angle. With false only the throttles are waited for: for a type
    without flaps."""
    engines_expected: bool = True
    """The feed says whether the engines run. When it does not, and the gear has no pressure, that
    is said as the reason."""
