"""``python -m tests.benchmarks.starts [--starts N] [--at-once N]``: does every start take keys?

Starts the demonstration under tmux again and again, on a server of its own, and presses a key: the
page must open and nothing may stand on the screen that the program has not drawn. Kinds of
terminal, sizes and the moment of the first key vary; a key may come while Python still imports.
"""

from __future__ import annotations

import argparse
import itertools
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.answering_terminal import REPOSITORY, AnsweringTerminal

SIZES = ((80, 24), (120, 40), (60, 20))
TERMS = ("screen", "screen-256color", "tmux-256color", "xterm-256color")
PATIENCE_S = 90.0
"""A busy machine may need this long to draw the first page, s."""
PERIOD_S = 0.15
ENDS_WITHIN_S = 30.0
_PAGES = " panel "
"""In the line of keys of the first page."""
_NUMBERS = itertools.count(1)


@dataclass(frozen=True)
class Start:
    """One start.

    Attributes:
        term: kind of terminal inside tmux.
        size: columns and rows.
        early_s: a key is pressed so long after the start, whatever is drawn by then; None = none.
        late_s: a client looks on whose terminal answers so late; None = nobody looks on.
    """

    term: str
    size: tuple[int, int]
    early_s: float | None
    late_s: float | None


class Tmux:
    """A tmux server of its own, with one pane in which the demonstration runs."""

    def __init__(self, start: Start) -> None:
        self._terminal: AnsweringTerminal | None = None
        self._server = f"panelbridge-starts-{os.getpid()}-{next(_NUMBERS)}"
        width, height = start.size
        command = f"exec {sys.executable} -m panelbridge demo"
        self._run(
            *("-f", "/dev/null", "start-server", ";"),
            *("set", "-g", "default-terminal", start.term, ";"),
            *("new", "-d", "-x", str(width), "-y", str(height), command),
        )

    def press(self, *keys: str) -> None:
        """Press keys."""
        self._run("send-keys", *keys)

    def rows(self) -> list[str]:
        """What stands in the pane."""
        return self._run("capture-pane", "-p").splitlines()

    def wait_for(self, is_there: Callable[[list[str]], bool]) -> list[str] | None:
        """The pane once ``is_there``; None when it never is."""
        end_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < end_s:
            rows = self.rows()
            if rows and is_there(rows):
                return rows
            time.sleep(PERIOD_S)
        return None

    def attach(self, size: tuple[int, int], late_s: float) -> None:
        """Look on from a terminal of our own, which answers late what tmux asks."""
        command = ["tmux", "-L", self._server, "attach"]
        self._terminal = AnsweringTerminal(command, size, late_s=late_s)

    def close(self) -> bool:
        """End the server; returns whether what ran in it has ended with it."""
        number = int(self._run("display-message", "-p", "#{pane_pid}") or 0)
        self._run("kill-server")
        if self._terminal is not None:
            self._terminal.close()
        end_s = time.monotonic() + ENDS_WITHIN_S
        while number and Path("/proc", str(number)).exists() and time.monotonic() < end_s:
            time.sleep(PERIOD_S)
        if not number or not Path("/proc", str(number)).exists():
            return True
        os.kill(number, signal.SIGKILL)  # our own: the pane's process
        return False

    def _run(self, *arguments: str) -> str:
        done = subprocess.run(
            ["tmux", "-L", self._server, *arguments],
            cwd=REPOSITORY,
            env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
            capture_output=True,
            text=True,
            check=False,
        )
        return done.stdout


def is_inner_page(rows: list[str]) -> bool:
    """Any page but the first: its second line has the horn."""
    return len(rows) > 1 and rows[1].startswith(" Horn")


def fault_of(start: Start) -> str:
    """What went wrong at a start; empty when nothing did."""
    pane = Tmux(start)
    try:
        if start.late_s is not None:
            pane.attach(start.size, start.late_s)
        if start.early_s is not None:
            time.sleep(start.early_s)
            pane.press(">")
        if pane.wait_for(lambda rows: any(_PAGES in row for row in rows)) is None:
            return f"nothing was drawn: {pane.rows()[:2]}"
        pane.press("2")
        rows = pane.wait_for(is_inner_page)
        if rows is None:
            return f"a key did nothing: {pane.rows()[:2]}"
        if any(row[0] != " " or ">" in row for row in rows[:2]):
            return f"a stray sign: {rows[:2]!r}"
        pane.press("1")
        if pane.wait_for(lambda rows: not is_inner_page(rows)) is None:
            return f"a second key did nothing: {pane.rows()[:2]}"
    finally:
        is_ended = pane.close()
    return "" if is_ended else "the demonstration has outlived its terminal"


def starts(count: int, seed: int) -> Iterator[Start]:
    """So many starts, of all kinds; the same seed gives the same ones."""
    rng = random.Random(seed)
    for _ in range(count):
        early_s = rng.uniform(0.0, 4.0) if rng.random() < 0.5 else None
        late_s = rng.uniform(0.0, 3.0) if rng.random() < 0.5 else None
        yield Start(rng.choice(TERMS), rng.choice(SIZES), early_s, late_s)


def main(arguments: list[str] | None = None) -> int:
    """Start; exit code 0 when every start took its keys."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.starts", description=__doc__)
    parser.add_argument("--starts", type=int, default=500)
    parser.add_argument("--at-once", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=20.0)
    options = parser.parse_args(arguments)
    end_s = time.monotonic() + 60.0 * options.minutes
    good = bad = 0
    with ThreadPoolExecutor(options.at_once) as pool:
        every = list(starts(options.starts, options.seed))
        for start, fault in zip(
            every,
            pool.map(lambda one: fault_of(one) if time.monotonic() < end_s else None, every),
            strict=True,
        ):
            if fault is None:
                break
            good, bad = good + (not fault), bad + bool(fault)
            print(f"{good} good, {bad} bad  {start}  {fault}", flush=True)
    print(f"{good + bad} starts, {bad} bad")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
