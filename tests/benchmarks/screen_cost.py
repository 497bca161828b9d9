"""Processor time of a run with its screen at 10 Hz, as a share of a core: by page and size.

``python -m tests.benchmarks.screen_cost [--from 100] [--seconds 30]``

Real runs of the demonstration, each on a pseudo-terminal and all at the same time; taken is the
processor time of the run's whole process: engine, simulated board, screen. One run more has
viewers, which are to cost its process nothing that grows with their number. The part of the flight
has a descent, the horn, and the gear on its way: the busiest half minute. Wanted: at most 5 %. The
machine must be quiet: beside other work the same takes more processor time.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from contextlib import ExitStack, closing
from time import monotonic

from panelbridge.clock import LiveClock
from tests.benchmarks.on_terminal import OnTerminal
from tests.benchmarks.viewers import viewers

LIMIT = 0.05
SIZES = ((80, 24), (120, 40), (200, 60))
PAGES = {"panel": "", "systems": "3", "overview": "5"}
"""Each with the key that opens it."""


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--from", dest="begin_s", type=float, default=100.0, help="of the flight")
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("--viewers", type=int, default=20, help="of one more run; 0 = no such run")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as home, ExitStack() as stack:
        os.environ["HOME"] = home
        runs = {}
        for page, key in PAGES.items():
            for size in SIZES:
                run = stack.enter_context(closing(OnTerminal("demo", size=size)))
                runs[f"{page} {size[0]}x{size[1]}"] = run
                run.drain()
                run.type(key)
        if options.viewers:
            run = stack.enter_context(closing(OnTerminal("demo", "--publish")))
            runs[f"{options.viewers} viewers 120x40"] = run
            run.drain()
            stack.enter_context(viewers(options.viewers))
        wait(options.begin_s)
        begun_s = monotonic()
        before = {name: (run.processor_s(), run.written) for name, run in runs.items()}
        wait(options.seconds)
        for name, run in runs.items():
            spent_s, written = before[name]
            took_s = monotonic() - begun_s
            share = (run.processor_s() - spent_s) / took_s
            met = "met" if share <= LIMIT else "NOT MET"
            print(
                f"{name:<18}{share:8.2%} of a core, {(run.written - written) / took_s:8.0f} bytes "
                f"a second (wanted <= {LIMIT:.0%}: {met})"
            )


def wait(seconds: float) -> None:
    """Let them run."""
    clock = LiveClock()
    clock.sleep_until(clock.now() + seconds)


if __name__ == "__main__":
    main()
