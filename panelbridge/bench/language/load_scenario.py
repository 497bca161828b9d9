"""Loads scenario files: a plan for each case, or all errors at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from panelbridge.bench.language.cases_file import cases_of, check_parameters
from panelbridge.bench.language.include_file import KIND, IncludedFiles
from panelbridge.bench.language.names import Context
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.scenario_file import ScenarioFile
from panelbridge.bench.language.scenario_model import forget_what_follows, model_of
from panelbridge.bench.language.start_file import read_legs, read_start
from panelbridge.bench.language.targets import Targets
from panelbridge.config.loading import wrong_kind
from panelbridge.config.yaml_source import scan_yaml
from panelbridge.errors import ConfigError

Load = Callable[[Path], Sequence[ScenarioPlan]]
"""Gives the plans of a file, or raises ConfigError."""


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
    path = Path(path)
    targets = targets if targets is not None else Targets()
    source, problems = scan_yaml(path)
    wrong = wrong_kind(source, KIND) if source is not None else None
    if source is None or wrong is not None:
        raise ConfigError([*problems, *([wrong] if wrong is not None else ())])
    names, of_target = targets.find(source, path)
    problems.extend(of_target)
    problems.extend(check_parameters(source))
    included = IncludedFiles(targets, targets.aircraft_path(source, path), problems)
    plans = []
    for case, of_case in cases_of(source):
        before = len(problems)
        model = model_of(of_case, problems)
        if names is not None:
            plan = _plan(Context(of_case, names, problems), path, case, model, included)
            if plan is not None:
                plans.append(plan)
        forget_what_follows(problems, of_case, before)
    if problems:
        raise ConfigError([*dict.fromkeys(problems)])
    return plans


def _plan(
    context: Context, path: Path, case: str, model: ScenarioFile | None, included: IncludedFiles
) -> ScenarioPlan | None:
    state, switches = read_start(context)
    legs = read_legs(context)
    steps = included.steps(context, path)
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
        legs=legs,
    )
