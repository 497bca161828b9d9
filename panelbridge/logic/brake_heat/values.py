"""What the brakes' heat publishes by name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from panelbridge.logic.brake_heat.facts import BrakeHeatFacts
from panelbridge.logic.brake_heat.parameters import BrakeHeatParameters
from panelbridge.logic.kit.cooling import Cooling
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World


def heat_values(names: Sequence[str], parameters: BrakeHeatParameters) -> Iterator[Signal]:
    """Both temperatures of each braked wheel, and its fuse plug."""
    for place, name in enumerate(names):
        words = name.replace("_", " ")
        for part in ("brake", "wheel"):
            curve = _curve(place, part)
            yield Signal(
                *(f"{name}_{part}_c", "number", f"{words} {part} temperature"),
                _at(curve),
                unit="deg C",
                low=parameters.ambient_c,
                curve=curve,
                never_unknown=True,
                short=f"{words} {part}",
            )
        if parameters.fuse_plug_c is not None:
            yield Signal(
                *(f"{name}_fuse_plug", "word", f"{words} fuse plug", _plug(place)),
                words=("whole", "melted"),
                never_unknown=True,
            )


def _curve(place: int, part: str) -> Callable[[World], Cooling]:
    return lambda world: getattr(world[BrakeHeatFacts].wheels[place], part)


def _at(curve: Callable[[World], Cooling]) -> Callable[[World], float]:
    return lambda world: curve(world).at(world.now_s)


def _plug(place: int) -> Callable[[World], str]:
    return lambda world: "melted" if world[BrakeHeatFacts].wheels[place].fuse_melted else "whole"
