"""Steps of included files: found, checked, and read with the values of their parameters."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from panelbridge.bench.language.cases_file import check_parameters, filled_in, parameters_in_steps
from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import Step
from panelbridge.bench.language.scenario_model import forget_what_follows, model_of
from panelbridge.bench.language.steps_file import Timeline, read_steps
from panelbridge.bench.language.targets import Targets, beside
from panelbridge.config.loading import wrong_kind
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError, ConfigProblem

KIND = "scenario"
MAX_INCLUDES = 20
"""Files may include files so deep."""


class IncludedFiles:
    """Reads what the steps of one scenario file include.

    Args:
        targets: aircraft and panels that were read already.
        aircraft: path of the scenario's aircraft; None when that is unclear.
        problems: takes the errors.
    """

    def __init__(
        self, targets: Targets, aircraft: Path | None, problems: list[ConfigProblem]
    ) -> None:
        self._targets = targets
        self._aircraft = aircraft
        self._problems = problems
        self._read = lru_cache(maxsize=None)(read_yaml)

    def steps(self, context: Context, path: Path) -> list[Step]:
        """Every step of the file at ``path``, those of included files in their place."""
        return self._steps(context, Timeline(), path, (path.resolve(),))

    def _steps(
        self, context: Context, timeline: Timeline, path: Path, chain: tuple[Path, ...]
    ) -> list[Step]:
        return read_steps(
            context, timeline, lambda c, place, t: self._include(c, place, t, path, chain)
        )

    def _include(
        self,
        context: Context,
        place: KeyPath,
        timeline: Timeline,
        path: Path,
        chain: tuple[Path, ...],
    ) -> list[Step]:
        place, values = _file_and_values(context, place)
        name = context.source.get(place)
        if not isinstance(name, str):
            context.at_value(place, "'include' must name a file", "Write 'include: other.yaml'")
            return []
        target = beside(path, name)
        real = target.resolve()
        if real in chain:
            what = f"{quoted(name)} is this file, or includes it: that would never end"
            context.at_value(place, what, "Delete the step")
            return []
        if len(chain) > MAX_INCLUDES:
            context.at_value(place, f"files include files more than {MAX_INCLUDES} deep", "")
            return []
        before = len(self._problems)
        source = self._included(context, place, values, target)
        if source is None:
            return []
        inner = Timeline(included=True, left=timeline.left)
        there = Context(source, context.names, self._problems)
        steps = self._steps(there, inner, target, (*chain, real))
        forget_what_follows(self._problems, source, before)
        timeline.left = inner.left
        timeline.now_s += inner.now_s
        timeline.exact &= inner.exact
        return steps

    def _included(
        self, context: Context, place: KeyPath, values: KeyPath, target: Path
    ) -> YamlSource | None:
        """The included file with its parameters filled in, if its steps can stand here."""
        name = str(context.source.get(place))
        try:
            found = self._read(target)
        except ConfigError as error:
            first = error.problems[0]
            if first.line:
                self._problems.extend(error.problems)
            else:
                what = f"the scenario {quoted(name)} cannot be included: {first.what}"
                hint = first.hint or f"It was looked for at {target.as_posix()}"
                context.at_value(place, what, hint)
            return None
        wrong = wrong_kind(found, KIND)
        if wrong is not None:
            context.at_value(place, f"{quoted(name)} cannot be included: {wrong.what}", wrong.hint)
            return None
        if not _check_values(context, place, values, found):
            return None
        if found.get(("cases",)) is None and not context.keys(values):
            self._problems.extend(check_parameters(found))
        _, problems = self._targets.find(found, target)
        self._problems.extend(problems)
        filled = filled_in(found, context.source, values)
        model_of(filled, self._problems)
        aircraft = self._targets.aircraft_path(found, target)
        if aircraft is not None and aircraft != self._aircraft:
            what = f"{quoted(name)} is for another aircraft, {quoted(aircraft.name)}"
            context.at_value(place, what, "Include scenarios of the same aircraft")
            return None
        return filled


def _file_and_values(context: Context, place: KeyPath) -> tuple[KeyPath, KeyPath]:
    """Where the file's name and the values of its parameters stand."""
    values = (*place, "values")
    if not isinstance(context.source.get(place), dict):
        return place, values
    for key in context.keys(place):
        if key not in ("file", "values"):
            hint = "Write {file: other.yaml, values: {lever: 0.2}}"
            context.at_key((*place, key), f"'include' has no key {quoted(key)}", hint)
    given = context.source.get(values)
    if values in context.source.positions and not isinstance(given, dict):
        context.at_value(values, "'values' must be a group of parameters", "Write {lever: 0.2}")
    return (*place, "file"), values


def _check_values(context: Context, place: KeyPath, values: KeyPath, found: YamlSource) -> bool:
    """Whether every parameter of the file's steps has a value, and every value a parameter."""
    name, before = str(context.source.get(place)), len(context.problems)
    used, given = parameters_in_steps(found), context.keys(values)
    missing = [parameter for parameter in used if parameter not in given]
    if missing and (given or found.get(("cases",)) is not None):
        what = f"{quoted(name)} has no value for {listed(map(quoted, missing), 'and')}"
        wanted = ", ".join(f"{parameter}: ..." for parameter in used)
        hint = f"Write 'include: {{file: {name}, values: {{{wanted}}}}}'"
        context.at_key(place[:-1] if place[-1] == "file" else place, what, hint)
    for parameter in given:
        if parameter not in used:
            here = (*values, parameter)
            if used:
                context.no_such(here, "parameter", parameter, used, key=True)
            else:
                what = f"the steps of {quoted(name)} have no parameters"
                context.at_key(here, what, "Delete 'values'")
    return len(context.problems) == before
