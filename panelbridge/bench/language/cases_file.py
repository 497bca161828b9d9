"""The table of cases: the file as it is for each case, ``<name>`` replaced by the case's value."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from panelbridge.config.words import did_you_mean, listed, nearest, quoted
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource, place_name
from panelbridge.errors import ConfigProblem

PARAMETER = re.compile(r"<([^<>\s]{1,60})>")
"""A text that is wholly this takes the value of a case."""
PLACES = ("start", "set", "switches", "legs", "steps", "runs_for_s")
"""Keys of the file in which parameters may stand."""


def cases_of(source: YamlSource) -> Iterator[tuple[str, YamlSource]]:
    """Name of each case, and the file as it is for that case.

    A replaced value stands where the case has it; a parameter that the case lacks stays as it is. A
    file without a table comes as it is, with an empty name.
    """
    cases = source.get(("cases",))
    if not isinstance(cases, list) or not cases or not isinstance(source.value, dict):
        yield "", source
        return
    given: dict[int | str, _SpotsOfCase] = {}
    for path, spot in source.positions.items():
        if len(path) > 2 and path[0] == "cases":
            of_case = given.setdefault(path[1], {})
            of_case.setdefault(path[2], []).append((path[3:], spot))
    for place, case in enumerate(cases):
        filling = _Filling(case if isinstance(case, dict) else {}, given.get(place, {}))
        yield str(source.get(("cases", place, "case"))), _filled(source, filling)


def filled_in(source: YamlSource, given: YamlSource, path: KeyPath) -> YamlSource:
    """``source`` with the values at ``path`` of ``given``, which are those of its parameters."""
    values = given.get(path)
    found: _SpotsOfCase = {}
    depth = len(path)
    for at, spot in given.positions.items():
        if at[:depth] == path and len(at) > depth:
            there = replace(spot, file=spot.file or given.file)
            found.setdefault(at[depth], []).append((at[depth + 1 :], there))
    filling = _Filling(values if isinstance(values, dict) else {}, found)
    return _filled(source, filling)


def parameters_in_steps(source: YamlSource) -> Mapping[str, KeyPath]:
    """Every parameter of the steps, and where it stands first."""
    used: dict[str, KeyPath] = {}
    for path, name in _parameters(source.get(("steps",)), ("steps",)):
        used.setdefault(name, path)
    return used


def check_parameters(source: YamlSource) -> Iterator[ConfigProblem]:
    """Parameters without a value, values without a use, cases with the same name."""
    used: dict[str, KeyPath] = {}
    for key in PLACES:
        for path, name in _parameters(source.get((key,)), (key,)):
            used.setdefault(name, path)
    cases = source.get(("cases",))
    if not isinstance(cases, list):
        for name, path in used.items():
            what = f"there is no parameter {quoted(name)}: the file has no table of cases"
            yield source.at_value(path, what, f"Add 'cases:' with '- {{case: ..., {name}: ...}}'")
        return
    yield from _check_cases(source, cases, used)


def places_of_parameters(source: YamlSource) -> set[tuple[int, int]]:
    """Line and column of every parameter that has no value."""
    found = (path for key in PLACES for path, _ in _parameters(source.get((key,)), (key,)))
    return {(source.position(path).line, source.position(path).column) for path in found}


def _check_cases(
    source: YamlSource, cases: list[Value], used: Mapping[str, KeyPath]
) -> Iterator[ConfigProblem]:
    missing = [name for name in used if not any(isinstance(c, dict) and name in c for c in cases)]
    known = {name for case in cases if isinstance(case, dict) for name in case} - {"case"}
    lines: dict[str, int] = {}
    for name, path in used.items():
        if name not in known:
            what = f"there is no parameter {quoted(name)} in the table of cases"
            hint = did_you_mean(name, sorted(known))
            hint = hint or (f"There are {listed(sorted(known), 'and')}" if known else "")
            yield source.at_value(path, what, hint or f"Add '{name}: ...' to each case")
    for place, case in enumerate(cases):
        if not isinstance(case, dict):
            continue
        here: KeyPath = ("cases", place)
        title = case.get("case")
        if isinstance(title, str):
            if title in lines:
                what = f"there is a case {quoted(title)} already (line {lines[title]})"
                yield source.at_value((*here, "case"), what, "Give each case a name of its own")
            lines.setdefault(title, source.position((*here, "case")).line)
        for name in case:
            # A misspelling in a step is reported there.
            if name != "case" and name not in used and nearest(name, missing) is None:
                what = f"the parameter {quoted(name)} is used nowhere"
                hint = f"Write <{name}> where its value shall stand, or delete it"
                yield source.at_key((*here, name), what, hint)
        for name in used:
            if name in known and name not in case:
                what = f"the case {quoted(title)} lacks the parameter {quoted(name)}"
                hint = f"Add '{name}: ...': {place_name(used[name])} takes it"
                yield source.at_key(here, what, hint)


def _parameters(value: Value, path: KeyPath) -> Iterator[tuple[KeyPath, str]]:
    if isinstance(value, dict):
        for key, part in value.items():
            yield from _parameters(part, (*path, key))
    elif isinstance(value, list):
        for place, part in enumerate(value):
            yield from _parameters(part, (*path, place))
    elif isinstance(value, str) and (found := PARAMETER.fullmatch(value)):
        yield path, found[1]


_SpotsOfCase = dict[int | str, list[tuple[KeyPath, Position]]]
"""Places of a case's values, by the parameter's name: the way below it, and the place."""


class _Filling(Struct):
    case: Mapping[str, Value]
    given: _SpotsOfCase
    spots: dict[KeyPath, Position] = field(default_factory=dict)
    """New places of what was replaced."""

    def fill(self, value: Value, path: KeyPath) -> Value:
        if isinstance(value, dict):
            return {key: self.fill(part, (*path, key)) for key, part in value.items()}
        if isinstance(value, list):
            return [self.fill(part, (*path, place)) for place, part in enumerate(value)]
        found = PARAMETER.fullmatch(value) if isinstance(value, str) else None
        if found is None or found[1] == "case" or found[1] not in self.case:
            return value
        for below, spot in self.given.get(found[1], ()):
            self.spots[(*path, *below)] = spot
        return self.case[found[1]]


def _filled(source: YamlSource, filling: _Filling) -> YamlSource:
    """The file as it is with its parameters filled in."""
    whole = source.value if isinstance(source.value, dict) else {}
    value = {
        key: filling.fill(part, (key,)) if key in PLACES else part for key, part in whole.items()
    }
    return YamlSource(source.file, value, {**source.positions, **filling.spots})
