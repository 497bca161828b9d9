"""How soon a board is live again after a kill, from the moment that its port is back.

``python -m tests.benchmarks.recovery --kills 40`` serves a simulated board (``panelbridge
simboard``) as a process of its own, kills it at a random moment and starts it again after a random
time; an engine runs the panel on its port all the while. A board that is killed before it is live
again counts with its next life. Figures with the wanted values, never judged.

The first board has no boot wait. The second, for comparison, resets when its port is opened, so its
hello is waited for: it sends one each half second.
"""

from __future__ import annotations

import argparse
import os
import queue
import random
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles

from panelbridge.clock import LiveClock
from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.config.load import load_panel
from panelbridge.engine import Engine, LiveWaiter, feed_of
from panelbridge.errors import LinkError
from panelbridge.link.ports import BytePort, Opening, PortOpener
from panelbridge.link.session import BoardSession, LinkState, SetupPlan
from tests.benchmarks.logic_speed import line

ROOT = Path(__file__).parents[2]
FIRST_LAMP = ROOT / "configs" / "panels" / "first_lamp.yaml"
LONGEST_LIFE_S, LONGEST_DEATH_S = 3.0, 6.0


class Counted(Opening):
    """Counts when the port is open."""

    def __init__(self, opening: Opening, count: Callable[[], None]) -> None:
        self._opening = opening
        self._count = count
        self.abandon = opening.abandon  # type: ignore[method-assign]

    def result(self) -> BytePort | LinkError | None:
        """As of the opening itself."""
        result = self._opening.result()
        if result is not None and not isinstance(result, LinkError):
            self._count()
        return result


class CountingOpener:
    """Opens ports, and counts how often that succeeds: each resets some boards."""

    def __init__(self, opener: PortOpener) -> None:
        self._opener = opener
        self.opened = 0

    def __call__(self, url: str, baud: int) -> Opening:
        """Start to open ``url``."""
        return Counted(self._opener(url, baud), self._add)

    def _add(self) -> None:
        self.opened += 1


@dataclass
class Life:
    """A served board, from its start to its kill."""

    panel: Path
    link: Path
    clock: LiveClock
    back: queue.SimpleQueue[float] = field(default_factory=queue.SimpleQueue)

    def __post_init__(self) -> None:
        command = [sys.executable, "-m", "panelbridge", "simboard", "--panel", str(self.panel)]
        self.process = subprocess.Popen(
            [*command, "--link", str(self.link)],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for text in self.process.stdout:
            if text.startswith("port /"):
                self.back.put(self.clock.now())

    def kill(self) -> None:
        """End it without a goodbye."""
        self.process.kill()
        self.process.wait()
        self._reader.join()
        assert self.process.stdout is not None
        self.process.stdout.close()


class Run:
    """An engine on the port of a board that is killed again and again.

    Args:
        kind: kind of the board.
        folder: for its files.
    """

    def __init__(self, kind: BoardKind, folder: Path) -> None:
        text = FIRST_LAMP.read_text(encoding="utf-8")
        text = text.replace("board: uno", f"board: {kind}")
        text = text.replace("../aircraft", f"{ROOT}/configs/aircraft")
        self.panel = folder / f"{kind}.yaml"
        self.panel.write_text(text, encoding="utf-8")
        self.link = folder / kind
        loaded = load_panel(self.panel)
        self.clock = LiveClock()
        waiter = LiveWaiter(self.clock)
        self.opener = CountingOpener(PortOpener(waiter.wake))
        plan = SetupPlan.of(loaded.panel, "main")
        self.session = BoardSession(plan, str(self.link), self.opener)
        self.engine = Engine(
            loaded,
            clock=self.clock,
            waiter=waiter,
            feed=feed_of(loaded),
            sessions=[self.session],
        )

    def measure(self, kills: int, rng: random.Random) -> list[float]:
        """Recovery times, s."""
        recovered: list[float] = []
        for _ in range(kills):
            life = Life(self.panel, self.link, self.clock)
            back_s = self._turn_until_back(life)
            dies_s = back_s + rng.uniform(0.0, LONGEST_LIFE_S)
            is_live = False
            while self.clock.now() < dies_s:
                self.engine.turn()
                if not is_live and self.session.health().state is LinkState.LIVE:
                    is_live = True
                    recovered.append(self.clock.now() - back_s)
            life.kill()
            starts_s = self.clock.now() + rng.uniform(0.0, LONGEST_DEATH_S)
            while self.clock.now() < starts_s:
                self.engine.turn()
        self.engine.close()
        return recovered

    def _turn_until_back(self, life: Life) -> float:
        while life.back.empty():
            self.engine.turn()
        return life.back.get()


def report(kind: BoardKind, kills: int, seed: int) -> None:
    """Measure a kind of board and print."""
    with tempfile.TemporaryDirectory() as name:
        run = Run(kind, Path(name))
        times = run.measure(kills, random.Random(seed))
    print(f"{kind}: {kills} kills, live again {len(times)} times, opened {run.opener.opened} times")
    p90 = quantiles(times, n=10)[-1] if len(times) > 1 else times[0]
    if BOARDS[kind].resets_on_open:
        print(f"  from the port to live: median {median(times):.2f} s, 9 of 10 {p90:.2f} s")
    else:
        print(line("  from the port to live, median, s", median(times), "<= 0.5"))
        print(line("  from the port to live, 9 of 10, s", p90, "<= 1.5"))
    print(f"  longest {max(times):.2f} s")


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--kills", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    if os.name != "posix":
        print("this system has no pseudo-terminals")
        return 2
    kinds: tuple[BoardKind, ...] = ("leonardo", "uno")
    for kind in kinds:
        report(kind, options.kills, options.seed)
    return 0


if __name__ == "__main__":
    sys.exit(main())
