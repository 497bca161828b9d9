"""``panelbridge bench``: finds scenarios, loads all of them, runs them, reports."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from panelbridge.bench.language.load_scenario import Load, load_scenarios
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import check_patterns
from panelbridge.bench.language.targets import Targets
from panelbridge.bench.reports.file_kinds import JUNIT, SVG, TIMELINES, VCD
from panelbridge.bench.reports.progress import progress_bar
from panelbridge.bench.reports.text import result_text, summary_text
from panelbridge.bench.scenario_search import find_scenarios
from panelbridge.bench.verdict.trace import Run, ScenarioResult, Trace
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.words import counted, listed
from panelbridge.errors import ConfigError, ConfigProblem, UsageError
from panelbridge.printing import check_can_be_written, say, write_text

if TYPE_CHECKING:
    from panelbridge.bench.reports.timeline_svg import TimelineHead

PASSED = 0
FAILED = 1
FILE_ERROR = 2
INTERRUPTED = 130


def bench_command(
    paths: Sequence[Path | str],
    *,
    junit: Path | None = None,
    timelines: Sequence[Path] = (),
    signals: Sequence[str] = (),
    coverage: bool = False,
    port: Sequence[str] = (),
    panel: Path | None = None,
    load: Load | None = None,
    run: Run = run_scenario,
) -> int:
    """Run scenarios and print how they went.

    Everything is loaded first: with one error in any file nothing runs, and all are printed.

    Args:
        paths: scenario files, or folders that hold them.
        junit: write a JUnit report into this file.
        timelines: write each run into these files: a picture (.svg), a waveform (.vcd). With
            several scenarios or cases the others go into files beside it: NAME-2, NAME-3...
        signals: names of the signals in the timeline, ``*`` and ``?`` may be used; none = the
            usual ones in a picture, all in a waveform.
        coverage: report what of the logic the scenarios never reached.
        port: run in real time on boards at these ports, ``URL`` or ``NAME=URL``.
        panel: panel file for scenarios that name none; with ``port`` only.
        load: loads a file, instead of the scenario language.
        run: runs a plan, instead of the bench.

    Returns:
        0 all passed, 1 an expectation failed, 2 an error in a file, 130 ended by Ctrl-C.

    Raises:
        UsageError: a path or an option that is not valid.
    """
    _check_options(junit, timelines, signals, port, panel)
    files = find_scenarios(paths)
    load = load or partial(load_scenarios, targets=Targets())
    if port:
        from panelbridge.bench.boards.on_ports import board_bench

        load, run = board_bench(port, panel, load)
    try:
        plans = _load_all(files, load)
        if signals:
            check_patterns(signals, plans)
        results = list(_run_all(plans, run, timelines, signals, keeps_traces=coverage))
    except ConfigError as error:
        say(str(error), sys.stderr)
        say(f"{counted(len(error.problems), 'error')}: nothing was run", sys.stderr)
        return FILE_ERROR
    except KeyboardInterrupt:
        with suppress(OSError):  # the terminal may have gone with the interrupt
            say("\ninterrupted", sys.stderr)
        return INTERRUPTED
    say(summary_text(results, "real time" if port else "virtual time"))
    if coverage:
        from panelbridge.bench.reports.coverage import coverage_text

        say(coverage_text(results))
    if junit is not None:
        from panelbridge.bench.reports.junit import junit_text

        write_text(junit, junit_text(results), JUNIT)
        say(f"wrote {junit}")
    return PASSED if all(result.passed for result in results) else FAILED


def _load_all(files: Sequence[Path], load: Load) -> list[ScenarioPlan]:
    """The plans of all files. Raises: ConfigError: with every error once, of any file."""
    plans: list[ScenarioPlan] = []
    problems: dict[ConfigProblem, None] = {}  # many scenarios name the same aircraft
    for file in files:
        try:
            plans += load(file)
        except ConfigError as error:
            problems.update(dict.fromkeys(error.problems))
    if problems:
        raise ConfigError([*problems])
    return plans


def _run_all(
    plans: Sequence[ScenarioPlan],
    run: Run,
    timelines: Sequence[Path],
    signals: Sequence[str],
    *,
    keeps_traces: bool,
) -> Iterator[ScenarioResult]:
    """Run and report each plan; its samples are dropped unless ``keeps_traces``."""
    check_timelines([numbered(one, n) for one in timelines for n in range(2, len(plans) + 1)])
    with progress_bar(len(plans), "running scenarios") as advance:
        for number, plan in enumerate(plans, 1):
            result = run(plan)
            say(result_text(result))
            advance()
            for timeline in timelines:
                path = numbered(timeline, number)
                write_timeline(result, path, signals)
                say(f"wrote {path}")
            trace = result.trace
            if not keeps_traces:
                trace = Trace(end_s=trace.end_s)
            yield replace(result, trace=trace)


def write_timeline(
    result: ScenarioResult,
    path: Path,
    signals: Sequence[str] = (),
    head: TimelineHead | None = None,
) -> None:
    """Write a run as a picture or a waveform, by the ending of ``path``.

    Args:
        result: the run.
        path: the file.
        signals: as in ``bench_command``.
        head: of a picture; None = that of a scenario.

    Raises:
        UsageError: the file cannot be written.
    """
    if path.suffix.lower() == ".svg":
        from panelbridge.bench.reports.timeline_svg import svg_text

        write_text(path, svg_text(result, signals, head), SVG)
    else:
        from panelbridge.bench.reports.timeline_vcd import vcd_text

        write_text(path, vcd_text(result, signals or ("*",)), VCD)


def check_timelines(paths: Sequence[Path]) -> None:
    """Check before a run that its timelines can be written after it. Raises: UsageError."""
    for path in paths:
        if path.suffix.lower() not in TIMELINES:
            raise UsageError(
                f"a timeline cannot be a file that ends with '{path.suffix}'",
                "--timeline",
                f"End it with {listed(TIMELINES)}: a picture or a waveform",
            )
        check_can_be_written(path, TIMELINES[path.suffix.lower()])


def numbered(path: Path, number: int) -> Path:
    """The file of the scenario ``number``: the first has the name itself."""
    return path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")


def _check_options(
    junit: Path | None,
    timelines: Sequence[Path],
    signals: Sequence[str],
    port: Sequence[str],
    panel: Path | None,
) -> None:
    if panel is not None and not port:
        raise UsageError(
            "a panel file is needed only with --port",
            "--panel",
            "On the bench each scenario names its own, or an aircraft alone",
        )
    if signals and not timelines:
        raise UsageError("signals are chosen for a timeline", "--signals", "Give --timeline too")
    check_timelines(timelines)
    if junit is not None:
        check_can_be_written(junit, JUNIT)
