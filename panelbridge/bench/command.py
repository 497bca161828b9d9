"""What ``panelbridge bench`` does: finds scenarios, loads them all, runs them, tells."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelbridge.bench.crew import Crew, crew_of
from panelbridge.bench.crew_work import FileLoad, Load, Run
from panelbridge.bench.plan import ScenarioPlan
from panelbridge.bench.progress import progress_bar
from panelbridge.bench.scenario_search import find_scenarios
from panelbridge.bench.telling import say
from panelbridge.bench.trace import ScenarioResult
from panelbridge.bench.whole_file import check_can_be_written, write_text_whole, write_whole
from panelbridge.config.words import counted, listed
from panelbridge.errors import ConfigError, ConfigProblem, UsageError

if TYPE_CHECKING:
    from panelbridge.bench.targets import Targets

PASSED = 0
FAILED = 1
MISTAKE = 2
INTERRUPTED = 130
TIMELINE_ENDINGS = (".svg", ".vcd")


def bench_command(
    paths: Sequence[Path | str],
    *,
    junit: Path | None = None,
    timeline: Path | None = None,
    coverage: bool = False,
    port: Sequence[str] = (),
    panel: Path | None = None,
    jobs: int = 0,
    load: Load | None = None,
    run: Run | None = None,
) -> int:
    """Run scenarios and print how they went.

    Everything is loaded first: with one mistake in any file nothing runs, and all are told.

    Args:
        paths: scenario files, or folders that hold them.
        junit: write a JUnit report into this file.
        timeline: write what happened into this file: a picture (.svg) or a waveform (.vcd). With
            several scenarios or cases the others go into files beside it: NAME-2, NAME-3...
        coverage: tell what of the logic the scenarios never reached.
        port: run in real time on boards at these ports, ``URL`` or ``NAME=URL``.
        panel: panel file for scenarios that name none; with ``port`` only.
        jobs: processes at most; 0 = all cores when there are many scenarios.
        load: loads a file, instead of the scenario language (a function of a module).
        run: runs a plan, instead of the bench (a function of a module).

    Returns:
        0 all passed, 1 an expectation failed, 2 a mistake in a file, 130 ended by Ctrl-C.

    Raises:
        UsageError: a path or an option that cannot be.
    """
    _check_options(junit, timeline, port, panel, jobs)
    files = find_scenarios(paths)
    load, run = load or ScenarioLoader(), run or _run
    if port:
        from panelbridge.bench.on_board import board_bench

        load, run = board_bench(port, panel, load)
    # A board is one, and a timeline needs all of a record: both stay in this process.
    alone = bool(port) or timeline is not None
    try:
        with crew_of(load, run, jobs=1 if alone else jobs, traced=alone or coverage) as crew:
            time = "real time" if port else "virtual time"
            return _bench(crew, files, junit, timeline, coverage, time)
    except KeyboardInterrupt:
        with suppress(OSError):  # the terminal may have gone with the interrupt
            say("\ninterrupted", sys.stderr)
        return INTERRUPTED


def _bench(
    crew: Crew,
    files: Sequence[Path],
    junit: Path | None,
    timeline: Path | None,
    coverage: bool,
    time: str,
) -> int:
    from panelbridge.bench.text_report import result_text, summary_text

    loads = crew.load(files)
    mistakes = _mistakes_of(loads)
    if mistakes:
        say(str(ConfigError(mistakes)), sys.stderr)
        say(f"{counted(len(mistakes), 'mistake')}: nothing was run", sys.stderr)
        return MISTAKE
    results: list[ScenarioResult] = []
    with progress_bar(sum(load.cases for load in loads), "running scenarios") as tell:
        for result in crew.run(loads):
            results.append(result)
            say(result_text(result))
            tell()
            if timeline is not None:
                write_timeline(result, numbered(timeline, len(results)))
    say(summary_text(results, time))
    if coverage:
        from panelbridge.bench.coverage import coverage_text

        say(coverage_text(results))
    if junit is not None:
        from panelbridge.bench.junit import junit_text

        write_text_whole(junit, junit_text(results))
    return PASSED if all(result.passed for result in results) else FAILED


def write_timeline(result: ScenarioResult, path: Path) -> None:
    """Write what happened as a picture or a waveform, by the ending of ``path``.

    Raises:
        UsageError: the file cannot be written.
    """
    if path.suffix.lower() == ".svg":
        from panelbridge.bench.timeline_svg import svg_text

        write_text_whole(path, svg_text(result))
    else:
        from panelbridge.bench.timeline_vcd import write_vcd

        write_whole(path, lambda beside: write_vcd(result, beside))


def numbered(path: Path, number: int) -> Path:
    """The file of the scenario ``number``: the first has the name itself."""
    return path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")


def _check_options(
    junit: Path | None, timeline: Path | None, port: Sequence[str], panel: Path | None, jobs: int
) -> None:
    if jobs < 0:
        raise UsageError(f"{jobs} processes cannot be", "--jobs", "0 uses all cores when it pays")
    if panel is not None and not port:
        raise UsageError(
            "a panel file is needed only with --port",
            "--panel",
            "On the bench each scenario names its own, or an aircraft alone",
        )
    if timeline is not None:
        if timeline.suffix.lower() not in TIMELINE_ENDINGS:
            raise UsageError(
                f"a timeline cannot be a file that ends with '{timeline.suffix}'",
                "--timeline",
                f"End it with {listed(TIMELINE_ENDINGS)}: a picture or a waveform",
            )
        check_can_be_written(timeline)
    if junit is not None:
        check_can_be_written(junit)


def _mistakes_of(loads: Sequence[FileLoad]) -> list[ConfigProblem]:
    """Every mistake once: many scenarios name the same aircraft."""
    found: dict[ConfigProblem, None] = {}
    for load in loads:
        found.update(dict.fromkeys(load.mistakes))
    return [*found]


class ScenarioLoader:
    """Loads scenario files; an aircraft or a panel that many of them name is read once."""

    def __init__(self) -> None:
        self._targets: Targets | None = None

    def __call__(self, path: Path) -> Sequence[ScenarioPlan]:
        """The plans of a file. Raises: ConfigError."""
        from panelbridge.bench.load_scenario import load_scenarios
        from panelbridge.bench.targets import Targets

        if self._targets is None:
            self._targets = Targets()
        return load_scenarios(path, self._targets)

    def __reduce__(self) -> tuple[Any, ...]:
        return ScenarioLoader, ()  # another process reads for itself


def _run(plan: ScenarioPlan) -> ScenarioResult:
    from panelbridge.bench.runner import run_scenario

    return run_scenario(plan)
