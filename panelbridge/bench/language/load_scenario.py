"""Loads scenario files: a plan for each case, or all errors at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from pydantic import ValidationError

from panelbridge.bench.language.actions_file import read_switches, read_values
from panelbridge.bench.language.cases_file import cases_of, check_parameters, places_of_parameters
from panelbridge.bench.language.names import Context, Names
from panelbridge.bench.language.plan import HANDLE, ScenarioPlan, Step
from panelbridge.bench.language.scenario_file import ScenarioFile, StepEntry
from panelbridge.bench.language.steps_file import Timeline, read_steps
from panelbridge.bench.language.targets import Targets, beside
from panelbridge.config.load import wrong_kind
from panelbridge.config.model_problems import json_text, problems_of
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.config.yaml_source import read_yaml, scan_yaml
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.logic.aircraft_values import put_values
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.signals import AircraftState, LegLocks

Load = Callable[[Path], Sequence[ScenarioPlan]]
"""Gives the plans of a file, or raises ConfigError."""
KIND = "scenario"
MAX_INCLUDES = 20
"""Files may include files so deep."""


def load_scenarios(path: Path | str, targets: Targets | None = None) -> list[ScenarioPlan]:
    """Load a scenario file.

    Args:
        path: its path.
        targets: aircraft and panels that were read already; give the same for many files.

    Returns:
        A plan for each case, in the order of the table; one plan without a table.

    Raises:
        ConfigError: with every error in it, in what it includes and in its aircraft or panel.
    """
    loading = _ScenarioLoading(targets if targets is not None else Targets())
    plans = loading.load(Path(path))
    if loading.problems:
        raise ConfigError([*dict.fromkeys(loading.problems)])
    return plans


class _ScenarioLoading:
    def __init__(self, targets: Targets) -> None:
        self.problems: list[ConfigProblem] = []
        self._targets = targets
        self._aircraft_path: Path | None = None
        self._read = lru_cache(maxsize=None)(read_yaml)

    def load(self, path: Path) -> list[ScenarioPlan]:
        source, self.problems = scan_yaml(path)
        wrong = wrong_kind(source, KIND) if source is not None else None
        if source is None or wrong is not None:
            raise ConfigError([*self.problems, *([wrong] if wrong is not None else ())])
        names, problems = self._targets.find(source, path)
        self.problems.extend(problems)
        self.problems.extend(check_parameters(source))
        self._aircraft_path = self._targets.aircraft_path(source, path)
        plans = []
        for case, of_case in cases_of(source):
            before = len(self.problems)
            model = self._model(of_case)
            if names is not None:
                plan = self._plan(Context(of_case, names, self.problems), path, case, model)
                if plan is not None:
                    plans.append(plan)
            self._forget_what_follows(of_case, before)
        return plans

    def _forget_what_follows(self, source: YamlSource, before: int) -> None:
        """Leave out that a parameter without a value is no number, word or name."""
        if len(self.problems) == before:
            return
        places = places_of_parameters(source)
        self.problems[before:] = [
            problem
            for problem in self.problems[before:]
            if problem.file != source.file or (problem.line, problem.column) not in places
        ]

    def _model(self, source: YamlSource) -> ScenarioFile | None:
        try:
            return ScenarioFile.model_validate_json(json_text(source.value))
        except ValidationError as error:
            self.problems.extend(problems_of(error, source, ScenarioFile))
            return None
        finally:
            self.problems.extend(_empty_keys(source))

    def _plan(
        self, context: Context, path: Path, case: str, model: ScenarioFile | None
    ) -> ScenarioPlan | None:
        state, switches = read_start(context)
        chain = (path.resolve(),)
        steps = read_steps(context, Timeline(), lambda d, p, t: self._include(d, p, t, path, chain))
        if model is None:
            return None
        return ScenarioPlan(
            name=model.name,
            case=case,
            source=model.source,
            path=path,
            aircraft=context.names.aircraft,
            panel=context.names.panel,
            start=state,
            start_switches=switches,
            steps=tuple(steps),
            runs_for_s=model.runs_for_s,
        )

    def _include(
        self,
        context: Context,
        place: KeyPath,
        timeline: Timeline,
        path: Path,
        chain: tuple[Path, ...],
    ) -> list[Step]:
        name = context.source.get(place)
        if not isinstance(name, str):
            return []  # the model of the file reports it
        target = beside(path, name)
        real = target.resolve()
        if real in chain:
            what = f"{quoted(name)} is this file, or includes it: that would never end"
            context.at_value(place, what, "Delete the step")
            return []
        if len(chain) > MAX_INCLUDES:
            context.at_value(place, f"files include files more than {MAX_INCLUDES} deep", "")
            return []
        source = self._included(context, place, name, target)
        if source is None:
            return []
        here = (*chain, real)
        inner = Timeline(included=True, left=timeline.left)
        steps = read_steps(
            Context(source, context.names, self.problems),
            inner,
            lambda d, p, t: self._include(d, p, t, target, here),
        )
        timeline.left = inner.left
        timeline.now_s += inner.now_s
        timeline.exact &= inner.exact
        return steps

    def _included(
        self, context: Context, place: KeyPath, name: str, target: Path
    ) -> YamlSource | None:
        """The included file, if its steps can stand here."""
        try:
            found = self._read(target)
        except ConfigError as error:
            first = error.problems[0]
            if first.line:
                self.problems.extend(error.problems)
            else:
                what = f"the scenario {quoted(name)} cannot be included: {first.what}"
                hint = first.hint or f"It was looked for at {target.as_posix()}"
                context.at_value(place, what, hint)
            return None
        wrong = wrong_kind(found, KIND)
        if wrong is not None:
            context.at_value(place, f"{quoted(name)} cannot be included: {wrong.what}", wrong.hint)
            return None
        if found.get(("cases",)) is not None:
            what = f"{quoted(name)} has a table of cases, and cannot be included"
            context.at_value(
                place, what, "Put the steps without the table into a file of their own"
            )
            return None
        _, problems = self._targets.find(found, target)
        self.problems.extend([*check_parameters(found), *problems])
        self._model(found)
        aircraft = self._targets.aircraft_path(found, target)
        if aircraft is not None and aircraft != self._aircraft_path:
            what = f"{quoted(name)} is for another aircraft, {quoted(aircraft.name)}"
            context.at_value(place, what, "Include scenarios of the same aircraft")
            return None
        return found


def _empty_keys(source: YamlSource) -> Iterator[ConfigProblem]:
    """Optional keys without a value; the model reports the others."""
    steps = source.get(("steps",))
    groups: list[tuple[KeyPath, type[Parameters]]] = [((), ScenarioFile)]
    groups += [
        (("steps", place), StepEntry)
        for place in range(len(steps) if isinstance(steps, list) else 0)
    ]
    for path, model in groups:
        for name, info in model.model_fields.items():
            here = (*path, name)
            if here in source.positions and info.default is None and source.get(here) is None:
                what = f"{place_name(here)} is empty"
                yield source.at_key(here, what, "Write something after the colon, or delete it")


SIMULATOR_HANDLE = "simulator_handle"
"""Where it stands at the start, the handle of the panel stands too."""


def read_start(context: Context) -> tuple[AircraftState, dict[str, str | float]]:
    """The aircraft and the switches at the start; errors are noted."""
    names, state, handle = context.names, AircraftState(), None
    name = context.source.get(("start",))
    if isinstance(name, str) and name in names.aircraft.starts:
        state = start_state(names, name)
        handle = names.values[SIMULATOR_HANDLE].read(state)
    elif isinstance(name, str):
        context.no_such(("start",), "start condition", name, names.aircraft.starts, key=False)
    state = put_values(context.names.values, state, read_values(context, ("set",)))
    switches: dict[str, str | float] = {}
    if handle is not None and HANDLE in context.names.switches:
        switches[HANDLE] = str(handle)
    return state, switches | read_switches(context, ("switches",))


def start_state(names: Names, start: str) -> AircraftState:
    """The aircraft at the start of this name; the gear is locked where the handle stands."""
    values = names.aircraft.start_values(start)
    state, handle = AircraftState(), values.get(SIMULATOR_HANDLE)
    if names.aircraft.authority.legs == "feed" and handle is not None:
        locks = LegLocks(up_locked=handle == "up", down_locked=handle == "down")
        state = replace(state, leg_locks=tuple(locks for _ in names.legs))
    return put_values(names.values, state, values)
