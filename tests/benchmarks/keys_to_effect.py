"""From a key to its effect on the screen: the whole way, as a user has it.

``python -m tests.benchmarks.keys_to_effect [--rounds 30]``

A real terminal (a pseudo-terminal) has the demonstration at its usual speed. The key of the lamp
test is typed at a random moment, and the time is taken until the bytes of a lit red lamp come: key,
hand, contact with its bounce, report of the board, logic, snapshot, page. Then the same with the
screen of a viewer, ``panelbridge watch``, whose order goes through the publisher. Wanted: p50 at
most 100 ms.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import tempfile
from contextlib import ExitStack, closing
from time import monotonic

from panelbridge.dashboard.text.palette import LIGHTS
from tests.benchmarks.on_terminal import OnTerminal

LIMIT_MS = 100.0
KEY = "t"
_FIRST_S = 4.0
"""The pilot of the flight has ended his own lamp test."""
_REST_S = 1.3
"""Until the key's button is released, and every lamp dark again."""
_LONGEST_S = 3.0


def ground(colour: str) -> bytes:
    """The bytes that give a cell this ground."""
    channels = (str(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return f"48;2;{';'.join(channels)}".encode()


def measure(screen: OnTerminal, rounds: int) -> list[float]:
    """Times in ms; the lamp must be dark before each."""
    lit, times = ground(LIGHTS["red"]), []
    chance = random.Random(1)
    for _ in range(rounds):
        if lit in screen.read_for(0.2 + chance.random() * 0.2):
            raise SystemExit("a red lamp is lit: the demonstration has come too far")
        begun_s = monotonic()
        screen.type(KEY)
        if not screen.read_until(lit, _LONGEST_S):
            raise SystemExit("the key has no effect")
        times.append((monotonic() - begun_s) * 1000.0)
        screen.read_for(_REST_S)
    return times


def line_of(name: str, times: list[float]) -> str:
    """The figures."""
    p50, p90 = statistics.median(times), statistics.quantiles(times, n=10)[8]
    met = "met" if p50 <= LIMIT_MS else "NOT MET"
    return (
        f"{name:<10} p50 {p50:6.1f} ms, p90 {p90:6.1f} ms, worst {max(times):6.1f} ms, "
        f"{len(times)} keys (wanted p50 <= {LIMIT_MS:g} ms: {met})"
    )


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--rounds", type=int, default=15, help="on each of the two screens")
    rounds = parser.parse_args().rounds
    with tempfile.TemporaryDirectory() as home:
        os.environ["HOME"] = home  # the runs of this measurement alone
        for name, has_viewer in (("own screen", False), ("watch", True)):
            with ExitStack() as stack:
                # Each from the start of the flight: later its own red lamps are lit.
                screen = stack.enter_context(closing(OnTerminal("demo", "--publish", "--hands")))
                if has_viewer:
                    screen.drain()
                    screen = stack.enter_context(closing(OnTerminal("watch")))
                screen.read_for(_FIRST_S)
                print(line_of(name, measure(screen, rounds)), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
