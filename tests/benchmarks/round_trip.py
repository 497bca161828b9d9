"""How long the host takes from a report to its command, as a ratio to a C program's time.

``python -m tests.benchmarks.round_trip`` plays a board on a pseudo-terminal. Against it runs first
a C program that only decodes frames and answers (the floor: the same bytes through the same
kernel), then the real ``panelbridge run``. Both are measured in the same run, in turns, so that a
slow minute of the machine falls on both. No absolute time is judged: ``--check`` asks for the
ratios only.
"""

from __future__ import annotations

import argparse
import os
import select
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelbridge.config.boards import BoardCode
from panelbridge.config.load import load_panel
from panelbridge.link.session import SetupPlan
from panelbridge.link.wire import (
    PROTOCOL_VERSION,
    Command,
    Edge,
    Hello,
    MessageType,
    Report,
    SetupBegin,
    SetupItem,
    SetupReply,
    SetupShape,
)
from panelbridge.link.wire.frames import FrameParser, crc16, encode_frame

HERE = Path(__file__).parent
PANEL = HERE.parent.parent / "configs" / "panels" / "demo_panel.yaml"
REST_S = 0.0005
"""Pause between two rounds, so that the other side waits in the kernel as it does in life."""
CORES = sorted(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else []
PLAIN_LIMIT = 1.5
TRANSITION_LIMIT = 5.0


class Board:
    """The board's side, as little of it as the measurement needs."""

    def __init__(self) -> None:
        import pty
        import tty

        self.master, self.slave = pty.openpty()
        tty.setraw(self.slave)
        self.path = os.ttyname(self.slave)
        self.parser = FrameParser()
        self.shape = SetupShape(0, 0, ())
        self.session = 0
        self.contacts = 0
        self.edge_number = 0
        self.report_number = 0

    def close(self) -> None:
        os.close(self.master)
        os.close(self.slave)

    def receive(self, timeout_s: float) -> list[bytes]:
        ready, _, _ = select.select([self.master], [], [], timeout_s)
        return self.parser.feed(os.read(self.master, 4096)) if ready else []

    def shake_hands(self, timeout_s: float = 20.0) -> None:
        """Say hello until the host has set the board up."""
        items: list[SetupItem] = []
        begin: SetupBegin | None = None
        until = time.perf_counter() + timeout_s
        while time.perf_counter() < until:
            hello = Hello(PROTOCOL_VERSION, BoardCode.MEGA2560, 1, 0, 7, 0, 70)
            if begin is None:
                os.write(self.master, encode_frame(hello.pack()))
            for message in self.receive(0.2):
                kind = message[0]
                index = 0
                if kind == MessageType.SETUP_BEGIN:
                    begin, items = SetupBegin.unpack(message), []
                elif kind == MessageType.SETUP_ITEM:
                    item = SetupItem.unpack(message)
                    index = item.index
                    if index == len(items):
                        items.append(item)
                elif kind != MessageType.SETUP_COMMIT:
                    continue
                assert begin is not None
                checksum = crc16(b"".join(item.body() for item in items))
                reply = SetupReply(begin.session, kind, index, 0, checksum)
                os.write(self.master, encode_frame(reply.pack()))
                if kind == MessageType.SETUP_COMMIT:
                    self.session = begin.session
                    self.shape = SetupShape.of(tuple(items))
                    self.send_report(())
                    return
        raise SystemExit("the host did not set the board up")

    def send_report(self, edges: tuple[Edge, ...]) -> None:
        report = Report(
            self.session,
            self.report_number,
            0,
            0,
            0,
            self.edge_number,
            self.contacts,
            (512,) * self.shape.analogues,
            edges,
        )
        self.report_number = (self.report_number + 1) & 0xFFFF
        self.edge_number = (self.edge_number + len(edges)) & 0xFFFF
        os.write(self.master, encode_frame(report.pack(self.shape)))

    def settle(self) -> None:
        """Take what is under way, and let the other side fall asleep."""
        while self.receive(REST_S):
            pass

    def measure_edge(self, contact: int) -> float:
        """Seconds from a report with an edge of ``contact`` to the command that acknowledges it."""
        self.settle()
        self.contacts ^= 1 << contact
        edge = Edge(contact, bool(self.contacts >> contact & 1))
        wanted = (self.edge_number + 1) & 0xFFFF
        start = time.perf_counter()
        self.send_report((edge,))
        while True:
            messages = self.receive(5.0)
            end = time.perf_counter()
            if not messages:
                raise SystemExit("the host did not answer within 5 s")
            for message in messages:
                if message[0] == MessageType.COMMAND:
                    command = Command.unpack(message, self.shape)
                    if command.edge_ack == wanted:
                        return end - start


@dataclass(frozen=True)
class Figure:
    name: str
    times_s: list[float]
    limit: float | None = None

    @property
    def p50_us(self) -> float:
        return statistics.median(self.times_s) * 1e6

    @property
    def p99_us(self) -> float:
        return statistics.quantiles(self.times_s, n=100)[98] * 1e6


def apart(process: subprocess.Popen[Any]) -> None:
    """Put the other side on a core of its own, where there are two.

    Else the system places it anew each time, and a reply from the same core takes half as long as
    one from the other: the figures would tell of the scheduler.
    """
    if len(CORES) > 1:
        os.sched_setaffinity(0, {CORES[0]})
        os.sched_setaffinity(process.pid, {CORES[1]})


@contextmanager
def compiled_echo() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        program = Path(folder) / "frame_echo"
        subprocess.run(
            ["gcc", "-O2", "-Wall", "-Wextra", "-Werror", "-o", program, HERE / "frame_echo.c"],
            check=True,
        )
        yield program


def measure_echo(program: Path, shape: SetupShape, rounds: int) -> list[float]:
    """The floor: the C program answers each report with a command of the host's length."""
    board = Board()
    echo = subprocess.Popen(
        [program, board.path, str(shape.command_length)], stdout=subprocess.PIPE, text=True
    )
    apart(echo)
    try:
        assert echo.stdout is not None
        echo.stdout.readline()
        board.shape = shape
        times = []
        for _ in range(rounds):
            board.settle()
            board.contacts ^= 1
            start = time.perf_counter()
            board.send_report((Edge(0, bool(board.contacts & 1)),))
            while not board.receive(5.0):
                pass
            times.append(time.perf_counter() - start)
        return times
    finally:
        echo.kill()
        echo.communicate()
        board.close()


def measure_host(contacts: list[int], rounds: int) -> list[list[float]]:
    """The real program, for each contact of ``contacts`` in turn."""
    board = Board()
    host = subprocess.Popen(
        [sys.executable, "-m", "panelbridge", "run", PANEL, "--port", board.path, "--headless"],
        stdout=subprocess.DEVNULL,
    )
    apart(host)
    try:
        board.shake_hands()
        times: list[list[float]] = [[] for _ in contacts]
        for contact in contacts:
            board.measure_edge(contact)  # warm
            board.measure_edge(contact)
        for _ in range(rounds):
            for number, contact in enumerate(contacts):
                times[number].append(board.measure_edge(contact))
        return times
    finally:
        host.terminate()
        host.wait(10)
        board.close()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=2000)
    parser.add_argument("--turns", type=int, default=4, help="how often floor and host alternate")
    parser.add_argument(
        "--check", action="store_true", help="exit 1 when a ratio is over its limit"
    )
    options = parser.parse_args()

    plan = SetupPlan.of(load_panel(PANEL).panel, "gear_panel")
    contacts = [
        next(n for n, use in enumerate(plan.contacts) if use.switch == switch)
        for switch in ("horn_silence", "lamp_test", "steering_button")
    ]
    floor = Figure("C: decode a frame, answer (the floor)", [])
    hosts = [
        Figure("panelbridge, acknowledges only", [], PLAIN_LIMIT),
        Figure("panelbridge, all lamps change, no chart transition", [], PLAIN_LIMIT),
        Figure("panelbridge, with a chart transition", [], TRANSITION_LIMIT),
    ]
    each = max(options.rounds // options.turns, 10)
    with compiled_echo() as program:
        for _ in range(options.turns):
            floor.times_s.extend(measure_echo(program, plan.shape, each))
            for figure, times in zip(hosts, measure_host(contacts, each), strict=True):
                figure.times_s.extend(times)
    print(f"{'report to command over a pty':<52} {'p50 us':>8} {'p99 us':>8} {'p50 ratio':>10}")
    good = True
    for figure in (floor, *hosts):
        ratio = figure.p50_us / floor.p50_us
        wish = f"  (wanted <= {figure.limit})" if figure.limit else ""
        line = f"{figure.name:<52} {figure.p50_us:>8.1f} {figure.p99_us:>8.1f} {ratio:>9.2f}x{wish}"
        print(line)
        good = good and (figure.limit is None or ratio <= figure.limit)
    return 0 if good or not options.check else 1


if __name__ == "__main__":
    sys.exit(main())
