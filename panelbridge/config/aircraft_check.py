"""Does an aircraft file agree with itself? Reads the raw values, beside other problems.

The logic's own models refuse the same; here each problem gets its exact place.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from panelbridge.config.conditions_file import read_condition
from panelbridge.config.reading_context import ReadableNames, ReadingContext
from panelbridge.config.value_names import check_values
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, vocabulary_of
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.logic.systems import SWITCHES, misfits_of
from panelbridge.logic.vocabulary import READABLE_GROUPS

REPORTED_HERE: frozenset[KeyPath] = frozenset({(), ("legs",), ("steering",)})
"""Places of rules that the models need not report a second time."""


def check_aircraft(source: YamlSource) -> Iterator[ConfigProblem]:
    """Names of legs that are used twice or are taken, and a steering leg that is not there."""
    first: dict[str, KeyPath] = {}
    groups = [(key, source.get((key,))) for key in ("legs", "fixed_legs")]
    names: list[KeyPath] = [
        (key, place, "name")
        for key, legs in groups
        if isinstance(legs, list)
        for place in range(len(legs))
    ]
    for path in names:
        name = source.get(path)
        if not isinstance(name, str):
            continue
        if name in first:
            where = source.position(first[name]).where
            what = f"another leg is already named {quoted(name)} ({where})"
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
        problem = (source.at_value if at_value else source.at_key)(path, misfit.what, hint)
        yield replace(problem, is_warning=misfit.is_warning)


def _check_steering(source: YamlSource, legs: list[str]) -> Iterator[ConfigProblem]:
    path: KeyPath = ("steering", "steering_leg")
    default = SteeringParameters.model_fields["steering_leg"].default
    steering = source.get(path) if path in source.positions else default
    if not isinstance(steering, str) or steering in legs:
        return
    if path in source.positions:
        hint = did_you_mean(steering, legs) or f"The legs are {listed(legs, 'and')}"
        yield source.at_value(path, f"no leg is named {quoted(steering)}", hint)
    else:
        yield source.at_key(
            ("steering",) if ("steering",) in source.positions else ("legs",),
            f"no leg is named {quoted(steering)}, and it is the one that steers unless the file "
            "names another",
            f"Add 'steering: {{ steering_leg: ... }}' with one of {listed(legs)}, or with null for "
            "an aircraft without steering",
        )


def check_starts(
    source: YamlSource, aircraft: AircraftParameters | None
) -> Iterator[ConfigProblem]:
    """Errors of all starts; without ``aircraft``, which has errors, values of any may stand."""
    starts = source.keys(("starts",))
    for name in starts:
        yield from check_values(source, ("starts", name), aircraft, ("like",))
        path = ("starts", name, "like")
        like = source.get(path)
        if isinstance(like, str) and like not in starts:
            hint = did_you_mean(like, starts) or f"The starts are {listed(starts, 'and')}"
            yield source.at_value(path, f"there is no start {quoted(like)}", hint)
        chain = [name]
        while isinstance(like, str) and like not in chain:
            chain.append(like)
            like = source.get(("starts", like, "like"))
        if like == name and name == min(chain, key=starts.index):
            what = "this start is like itself"
            if len(chain) > 1:
                what = f"these starts are like each other: {listed(chain, 'and')}"
            yield source.at_value(path, what, "Write the values of one of them without 'like:'")


def check_own_parts(source: YamlSource, aircraft: AircraftParameters) -> list[ConfigProblem]:
    """Switches, lamps and horn rules of the builder's own, and flashing lamps.

    A name that is taken, and conditions that cannot be.
    """
    problems: list[ConfigProblem] = []
    # The logic cannot be made from conditions that are wrong: names come from the other systems.
    others = aircraft.model_copy(update={"own_lamps": {}, "own_horn": {}})
    vocabulary = vocabulary_of(others)
    readable = {name: spec for name, spec in vocabulary.items() if spec.group in READABLE_GROUPS}
    context = ReadingContext(source, ReadableNames(readable), problems)
    plain = vocabulary_of(others.model_copy(update={"own_switches": {}}))
    for name in aircraft.own_switches:
        if name in plain or name in SWITCHES:
            what = f"the name {quoted(name)} is taken already"
            hint = "Give your switch another name"
            problems.append(source.at_key(("own_switches", name), what, hint))
    taken = lamps_of(others)
    for name in aircraft.own_lamps:
        path = ("own_lamps", name)
        if name in taken:
            what = f"the aircraft has a lamp {quoted(name)} already"
            problems.append(source.at_key(path, what, "Give your lamp another name"))
        read_condition(context, (*path, "lit_when"))
    for name in aircraft.own_horn:
        read_condition(context, ("own_horn", name, "sounds_when"))
    lamps = [*dict.fromkeys((*taken, *aircraft.own_lamps))]
    for place, name in enumerate(aircraft.lamps.flashing):
        if name not in lamps:
            hint = did_you_mean(name, lamps) or f"Its lamps are {listed(lamps, 'and')}"
            what = f"there is no lamp {quoted(name)} that could flash"
            problems.append(source.at_value(("lamps", "flashing", place), what, hint))
    return problems
