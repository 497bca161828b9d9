"""This tree against an old commit, in turns in the same run.

``python -m tests.benchmarks.in_turns 9fc915d scenarios`` measures the shipped scenarios in one
process, ``round_trip`` the time from a report to its command. The old commit is checked out into a
worktree of its own, which is removed in the end; each side runs its own code on its own files with
this interpreter. A round has the old side, then this one, so that a slow minute of the machine
falls on both: the ratio is the median of the ratios of the rounds. Figures, never judged.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
Figures = Mapping[str, float]
ROW = re.compile(r"^(\S.*?) +([\d.]+) +[\d.]+ +[\d.]+x")
"""A row of the table of ``round_trip``: name, median in us."""


@contextmanager
def worktree(commit: str) -> Iterator[Path]:
    """A checkout of ``commit``, for as long as it is needed."""
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "old"
        git = ("git", "-C", str(ROOT), "worktree")
        subprocess.run([*git, "add", "-q", "--detach", str(tree), commit], check=True)
        try:
            yield tree
        finally:
            subprocess.run([*git, "remove", "--force", str(tree)], check=True)


def run(tree: Path, *arguments: str) -> str:
    """What Python prints with the package of ``tree``."""
    environment = {**os.environ, "PYTHONPATH": str(tree)}
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=tree,
        env=environment,
        check=True,
        text=True,
        stdout=subprocess.PIPE,
    )
    return done.stdout


def scenarios(tree: Path) -> Figures:
    """The shipped scenarios in one process, its start included."""
    # Older versions share the scenarios out to several processes unless told otherwise.
    single = (
        ("--jobs", "1") if "--jobs" in run(tree, "-m", "panelbridge", "bench", "--help") else ()
    )
    import resource  # not on Windows

    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run(tree, "-m", "panelbridge", "bench", "configs/scenarios", *single)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return {"shipped scenarios, processor s": spent_s}


def round_trip(tree: Path) -> Figures:
    """From a report to its command, the median of one turn, us."""
    printed = run(tree, "-m", "tests.benchmarks.round_trip", "--rounds", "400", "--turns", "1")
    rows = [found for line in printed.splitlines() if (found := ROW.match(line))]
    return {f"{found[1]}, us": float(found[2]) for found in rows}


MEASURES: dict[str, Callable[[Path], Figures]] = {"scenarios": scenarios, "round_trip": round_trip}


def table(rounds: list[tuple[Figures, Figures]]) -> list[str]:
    """A line per figure: both medians, and the ratio with its range.

    Args:
        rounds: figures of the old side and of this one, a pair per round.
    """
    lines = [f"{'':<58} {'old':>9} {'now':>9}   now / old (range)"]
    for name in rounds[0][0]:
        old, now = ([side[name] for side in sides] for sides in zip(*rounds, strict=True))
        ratios = [after / before for before, after in zip(old, now, strict=True)]
        lines.append(
            f"{name:<58} {median(old):>9.2f} {median(now):>9.2f}"
            f"   {median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f})"
        )
    return lines


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("commit", help="the old one, e.g. 9fc915d")
    parser.add_argument("measure", choices=MEASURES)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    measure = MEASURES[options.measure]
    with worktree(options.commit) as old:
        rounds = [(measure(old), measure(ROOT)) for _ in range(options.rounds)]
    print(f"{options.rounds} rounds, {options.commit} and this tree in turns; medians")
    print("\n".join(table(rounds)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
