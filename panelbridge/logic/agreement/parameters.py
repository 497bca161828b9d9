"""How long panel and simulator may disagree."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters

_Limit = Annotated[float, Field(gt=0.0, le=600.0)] | None


class AgreementParameters(Parameters):
    """How long panel and simulator may disagree before it is a fault."""

    handle_limit_s: _Limit = 5.0
    """Longest time that the simulator's own gear handle may stand elsewhere than the panel asks, s;
    null = for ever. The panel is followed: a movement of its handle commands as ever."""
    legs_limit_s: _Limit = 30.0
    """With 'legs: feed': longest time that a leg may not be locked where it is asked to be, s; null
    = for ever. Lamps and horn follow the simulator's legs."""
