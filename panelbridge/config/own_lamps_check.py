"""Do the conditions of a builder's own lamps name what there is? Every problem at its place."""

from __future__ import annotations

from panelbridge.config.conditions_file import read_condition
from panelbridge.config.reading_context import ReadableNames, ReadingContext
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, signals_of_aircraft, system_lamps_of
from panelbridge.logic.own_lamps import READABLE_GROUPS


def check_own_lamps(source: YamlSource, aircraft: AircraftParameters) -> list[ConfigProblem]:
    """Own lamps with a name that is taken or conditions that cannot be, and flashing lamps."""
    problems: list[ConfigProblem] = []
    signals = {
        name: spec
        for name, spec in signals_of_aircraft(aircraft).items()
        if spec.group in READABLE_GROUPS
    }
    desk = ReadingContext(source, ReadableNames(signals), problems)
    taken = system_lamps_of(aircraft)
    for name in aircraft.own_lamps:
        path = ("own_lamps", name)
        if name in taken:
            what = f"the aircraft has a lamp {quoted(name)} already"
            problems.append(source.at_key(path, what, "Give your lamp another name"))
        read_condition(desk, (*path, "lit_when"))
    lamps = [*lamps_of(aircraft)]
    for place, name in enumerate(aircraft.lamps.flashing):
        if name not in lamps:
            hint = did_you_mean(name, lamps) or f"Its lamps are {listed(lamps, 'and')}"
            what = f"there is no lamp {quoted(name)} that could flash"
            problems.append(source.at_value(("lamps", "flashing", place), what, hint))
    return problems
