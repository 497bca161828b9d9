"""Scenarios as tests: pytest collects a builder's scenario files, a test a case.

It takes YAML files of kind scenario in folders called ``scenarios`` (and in folders of those), and
any that is named on pytest's command line. With the ini option ``panelbridge_scenarios`` it takes
the files that one of its patterns fits instead, seen from the root folder; ``*`` also stands for
folders: ``panelbridge_scenarios = bench/*.yaml``. ``-p no:panelbridge`` turns this off.

It is imported in every run of pytest where panelbridge is installed: it stays light until there is
a scenario.
"""

from __future__ import annotations

from collections.abc import Iterable
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from panelbridge.bench.scenario_search import OTHER_KINDS, kind_of
from panelbridge.config.file_patterns import ENDINGS
from panelbridge.config.words import nearest

if TYPE_CHECKING:
    from panelbridge.bench.language.plan import ScenarioPlan
    from panelbridge.bench.language.targets import Targets
    from panelbridge.bench.verdict.trace import ScenarioResult

INI = "panelbridge_scenarios"
FOLDER = "scenarios"
KIND = "scenario"
_targets_key: pytest.StashKey[Targets] = pytest.StashKey()


def pytest_addoption(parser: pytest.Parser) -> None:
    """The ini option."""
    parser.addini(
        INI,
        "patterns of scenario files, a line each; without it: those in folders called scenarios",
        type="linelist",
        default=[],
    )


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """A collector for a scenario file, nothing for any other."""
    if file_path.suffix.lower() not in ENDINGS or not _is_wanted(file_path, parent):
        return None
    return ScenarioTestFile.from_parent(parent, path=file_path)


def _is_wanted(path: Path, parent: pytest.Collector) -> bool:
    root = parent.config.rootpath
    inner = path.relative_to(root) if path.is_relative_to(root) else path
    patterns = parent.config.getini(INI)
    if any(fnmatch(inner.as_posix(), pattern) for pattern in patterns):
        return kind_of(path) not in OTHER_KINDS
    if parent.session.isinitpath(path):
        return kind_of(path) == KIND
    # A misspelt kind is reported, not skipped.
    in_folder = not patterns and FOLDER in inner.parts[:-1]
    return in_folder and nearest(kind_of(path), [KIND]) is not None


class ScenarioTestFile(pytest.File):
    """A scenario file; its errors are errors of the collection."""

    def collect(self) -> Iterable[ScenarioItem]:
        """An item a case."""
        from panelbridge.bench.language.load_scenario import load_scenarios
        from panelbridge.bench.language.targets import Targets
        from panelbridge.errors import ConfigError

        targets = self.session.stash.setdefault(_targets_key, Targets())
        here = Path.cwd()
        path = self.path.relative_to(here) if self.path.is_relative_to(here) else self.path
        try:
            plans = load_scenarios(path, targets)
        except ConfigError as error:
            raise self.CollectError(str(error)) from None
        for plan in plans:
            yield ScenarioItem.from_parent(self, name=plan.title, plan=plan)


class ScenarioItem(pytest.Item):
    """A scenario, or a case of it.

    Args:
        plan: what is run.
        more: as pytest makes items.
    """

    def __init__(self, *, plan: ScenarioPlan, **more: object) -> None:
        super().__init__(**more)  # type: ignore[arg-type] # pytest's own arguments
        self.plan = plan

    def runtest(self) -> None:
        """Run it in virtual time."""
        from panelbridge.bench.world.virtual_world import run_scenario

        result = run_scenario(self.plan)
        if not result.passed:
            raise ExpectationsFailed(result)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """The bench's own words; a traceback only for an error of the program."""
        if not isinstance(excinfo.value, ExpectationsFailed):
            return super().repr_failure(excinfo)
        from panelbridge.bench.reports.text import result_text

        return result_text(excinfo.value.result)

    def reportinfo(self) -> tuple[Path, int, str]:
        """File, line from 0, and name."""
        steps = self.plan.steps
        return self.path, (steps[0].spot.line - 1 if steps else 0), self.name


class ExpectationsFailed(AssertionError):  # noqa: N818 - named for what happened
    """An expectation of a scenario did not hold.

    Args:
        result: how the scenario went.
    """

    def __init__(self, result: ScenarioResult) -> None:
        super().__init__(f"{result.plan.title}: {len(result.failures)} failed")
        self.result = result
