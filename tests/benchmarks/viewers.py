"""What viewers cost the engine: round trip and processor time, with viewers and without.

``python -m tests.benchmarks.viewers`` plays a board on a pseudo-terminal against the real
``panelbridge run``: in turns without ``--publish``, and with it and 20 viewers, which run in a
process of their own. The p99 of each block with viewers is divided by that of the block before it;
beside the median of these ratios stands the spread of blocks without viewers against each other, so
that the machine's own noise can be seen. Nothing is pinned to a core. ``--check`` exits with 1 when
the median is over its limit and outside that spread.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from panelbridge.clock import LiveClock
from panelbridge.config.load import load_panel
from panelbridge.link.session import SetupPlan
from panelbridge.watch.find_run import find_run, living_runs
from panelbridge.watch.priority import let_the_run_go_first
from panelbridge.watch.run_files import runs_folder
from panelbridge.watch.viewer_link import ViewerLink
from tests.benchmarks.round_trip import PANEL, Board

LIMIT = 1.2
SWITCHES = {"lamps": "lamp_test", "transition": "steering_button"}
_TICKS_A_SECOND = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100


@dataclass(frozen=True)
class Block:
    """One run: times of its round trips by what they did, and processor time as a share."""

    times_s: dict[str, list[float]]
    share: float

    def p99_us(self, kind: str) -> float:
        return statistics.quantiles(self.times_s[kind], n=100)[98] * 1e6


def watch(count: int) -> None:
    """The viewers' process: they look ten times a second, as a screen does, until killed."""
    let_the_run_go_first()
    clock = LiveClock()
    while not (found := living_runs(runs_folder())):
        clock.sleep_until(clock.now() + 0.1)
    links = [ViewerLink(lambda: find_run(None, found, ""), clock) for _ in range(count)]
    for link in links:
        link.start()
    print("ready", flush=True)
    while True:
        clock.sleep_until(clock.now() + 0.1)
        assert all(link.snapshot() and link.status().is_live for link in links)


@contextmanager
def viewers(count: int) -> Iterator[None]:
    if not count:
        yield
        return
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.benchmarks.viewers", "--watch", str(count)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        if process.stdout.readline() != "ready\n":
            raise SystemExit("the viewers did not start")
        yield
        if process.poll() is not None:
            raise SystemExit("the viewers did not last")
    finally:
        process.kill()
        process.communicate()


def block(contacts: dict[str, int], rounds: int, count: int) -> Block:
    board, clock = Board(), LiveClock()
    command = [sys.executable, "-m", "panelbridge", "run", str(PANEL), "--port", board.path]
    command += ["--headless", *(["--publish"] if count else [])]
    host = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        with viewers(count):
            board.shake_hands()  # only now: a board that says nothing meanwhile would be lost
            times: dict[str, list[float]] = {kind: [] for kind in contacts}
            for contact in contacts.values():
                board.measure_edge(contact)  # warm
            used_s, start_s = processor_s(host.pid), clock.now()
            for _ in range(rounds):
                for kind, contact in contacts.items():
                    times[kind].append(board.measure_edge(contact))
            share = (processor_s(host.pid) - used_s) / (clock.now() - start_s)
        return Block(times, share)
    finally:
        host.terminate()
        host.wait(10)
        board.close()


def processor_s(process: int) -> float:
    """Processor time of a process without its children, s."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICKS_A_SECOND


def lines_of(without: list[Block], having: list[Block], count: int) -> tuple[list[str], bool]:
    """The figures, and whether each is within its limit or within the noise.

    ``without`` has one block more than ``having``: they were measured in turns.
    """
    lines, good = [], True
    for kind in without[0].times_s:
        none = [one.p99_us(kind) for one in without]
        some = [one.p99_us(kind) for one in having]
        ratio = statistics.median(b / a for a, b in zip(none, some, strict=False))
        spread = sorted(b / a for a, b in pairwise(none))
        is_good = ratio <= LIMIT or spread[0] <= ratio <= spread[-1]
        good = good and is_good
        lines.append(
            f"{kind:<12} p99 us {statistics.median(none):>8.1f} without, "
            f"{statistics.median(some):>8.1f} with {count} viewers: {ratio:.2f}x "
            f"(none against none {spread[0]:.2f} to {spread[-1]:.2f}; wanted <= {LIMIT}: "
            f"{'met' if is_good else 'NOT MET'})"
        )
    shares = [statistics.median(one.share for one in some) * 100 for some in (without, having)]
    lines.append(f"processor of the run's process: {shares[0]:.1f} % without, {shares[1]:.1f} %")
    return lines, good


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=400, help="of each block")
    parser.add_argument("--blocks", type=int, default=10, help="with viewers, and without")
    parser.add_argument("--viewers", type=int, default=20)
    parser.add_argument("--check", action="store_true", help="exit 1 when a limit is not met")
    parser.add_argument("--watch", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.watch is not None:
        watch(options.watch)
    plan = SetupPlan.of(load_panel(PANEL).panel, "gear_panel")
    contacts = {
        kind: next(n for n, use in enumerate(plan.contacts) if use.switch == switch)
        for kind, switch in SWITCHES.items()
    }
    with tempfile.TemporaryDirectory() as home:
        os.environ["HOME"] = home  # the runs of this measurement alone
        without, having = [block(contacts, options.rounds, 0)], []
        for _ in range(options.blocks):
            having.append(block(contacts, options.rounds, options.viewers))
            without.append(block(contacts, options.rounds, 0))
    lines, good = lines_of(without, having, options.viewers)
    print("\n".join(lines))
    return 0 if good or not options.check else 1


if __name__ == "__main__":
    sys.exit(main())
