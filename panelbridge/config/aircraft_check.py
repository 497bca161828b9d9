"""Does an aircraft file agree with itself? Reads the raw values, beside other problems.

The logic's own models refuse the same; here each problem gets its exact place.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_fit import misfits_of
from panelbridge.logic.steering import SteeringParameters

REPORTED_HERE: frozenset[KeyPath] = frozenset({(), ("legs",), ("steering",)})
"""Places of rules that the models need not report a second time."""


def check_aircraft(source: YamlSource) -> Iterator[ConfigProblem]:
    """Names of legs that are used twice or are taken, and a steering leg that is not there."""
    legs = source.get(("legs",))
    first: dict[str, KeyPath] = {}
    for place in range(len(legs) if isinstance(legs, list) else 0):
        path: KeyPath = ("legs", place, "name")
        name = source.get(path)
        if not isinstance(name, str):
            continue
        if name in first:
            what = f"there is a leg {quoted(name)} already ({source.position(first[name]).where})"
            yield source.at_value(path, what, "Give each leg a name of its own")
        first.setdefault(name, path)
        if name == "handle":
            what = "a leg cannot be called 'handle': 'handle_red' is the handle's own lamp"
            yield source.at_value(path, what, "Give the leg another name")
    if first:
        yield from _check_steering(source, [*first])


def check_parts_fit(source: YamlSource, aircraft: AircraftParameters) -> Iterator[ConfigProblem]:
    """What one part of the aircraft asks for and another part does not have."""
    for misfit in misfits_of(aircraft):
        path = misfit.path
        hint = did_you_mean(str(source.get(path)), misfit.choices) or misfit.hint
        # A value that stands there by default has no place: its group is pointed at.
        at_value = path in source.positions and not misfit.is_key
        yield (source.at_value if at_value else source.at_key)(path, misfit.what, hint)


def _check_steering(source: YamlSource, legs: list[str]) -> Iterator[ConfigProblem]:
    path: KeyPath = ("steering", "steering_leg")
    default = SteeringParameters.model_fields["steering_leg"].default
    steering = source.get(path) if path in source.positions else default
    if not isinstance(steering, str) or steering in legs:
        return
    if path in source.positions:
        hint = did_you_mean(steering, legs) or f"The legs are {listed(legs, 'and')}"
        yield source.at_value(path, f"there is no leg {quoted(steering)}", hint)
    else:
        yield source.at_key(
            ("steering",) if ("steering",) in source.positions else ("legs",),
            f"there is no leg {quoted(steering)}, and it is the one that steers unless the file "
            "names another",
            f"Add 'steering: {{ steering_leg: ... }}' with one of {listed(legs)}, or with null for "
            "an aircraft without steering",
        )
