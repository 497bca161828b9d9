"""The gear's own parts: doors."""

from __future__ import annotations

from panelbridge.signals import Happening
from tests.logic.build import flying_gear_up, legs, switches, twin


def happenings() -> list[Happening]:
    """A leg with a door goes down."""
    parameters = [leg.model_dump() for leg in legs()]
    parameters[0]["door"] = {}
    bench = flying_gear_up(twin(legs=parameters))
    bench.at(2.0, switches("down"))
    bench.at(60.0)
    return bench.happenings
