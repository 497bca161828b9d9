"""What a scenario costs beside its own run: many small ones in one call of ``panelbridge bench``.

``python -m tests.benchmarks.many_scenarios --scenarios 1000``

Each is a file of its own with four steps and three expectations, ten seconds of virtual time. Told
are, a scenario: the whole call; its parts (finding, loading, running, telling); and the overhead,
which is all but the running. Exit code 0 when every scenario passed.
"""

from __future__ import annotations

import argparse
import io
import sys
import tempfile
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from pathlib import Path
from typing import TypeVar

from panelbridge.bench.command import bench_command
from panelbridge.bench.language import Targets, load_scenarios
from panelbridge.bench.reports.text import result_text
from panelbridge.bench.scenario_search import find_scenarios
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.clock import LiveClock
from panelbridge.config.shipped import shipped_config

T = TypeVar("T")

SCENARIO = """\
kind: scenario
format: 2
name: Gear down on approach {number}
aircraft: {aircraft}
start: cruise clean
steps:
  - at_s: 0.5
    expect: {{ greens: dark, horn: silent }}
  - at_s: 1
    set: {{ airspeed_kias: {speed}, altitude_ft: 3000 }}
  - at_s: 2
    move: {{ gear_handle: down }}
    expect: {{ gear: not_locked }}
    within_s: 2
  - at_s: 9.8
    expect: {{ greens: lit, gear_agrees: true }}
runs_for_s: 10
"""


def _write(folder: Path, count: int) -> None:
    aircraft = shipped_config("aircraft/twin_jet.yaml").as_posix()
    for number in range(count):
        text = SCENARIO.format(number=number, aircraft=aircraft, speed=150 + number % 50)
        (folder / f"{number:05}.yaml").write_text(text, encoding="utf-8")


def _timed(what: Callable[[], T]) -> tuple[float, T]:
    clock = LiveClock()
    result = what()
    return clock.now(), result


def _call(folder: Path) -> tuple[float, int]:
    with redirect_stdout(io.StringIO()):
        return _timed(lambda: bench_command([folder]))


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and print; gives the exit code."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--scenarios", type=int, default=1000)
    count: int = parser.parse_args(arguments).scenarios
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _write(folder, count)
        targets = Targets()
        find_s, files = _timed(lambda: find_scenarios([folder]))
        load_s, plans = _timed(
            lambda: [plan for file in files for plan in load_scenarios(file, targets)]
        )
        run_s, results = _timed(lambda: [run_scenario(plan) for plan in plans])
        tell_s, _ = _timed(lambda: [result_text(result) for result in results])
        call_s, code = _call(folder)

    def say(words: str, spent_s: float) -> None:
        print(f"{words:<44} {1000.0 * spent_s / count:8.2f} ms a scenario")

    print(f"{count} scenarios of 10 s of virtual time, a file each")
    say("finding", find_s)
    say("loading", load_s)
    say("running", run_s)
    say("telling", tell_s)
    say("one call", call_s)
    say("overhead (all but running)", call_s - run_s)
    return code


if __name__ == "__main__":
    sys.exit(main())
