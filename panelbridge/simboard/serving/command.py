"""The command ``panelbridge simboard``: a board on a pty, with orders from the keyboard."""

from __future__ import annotations

import contextlib
import os
import random
import select
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from panelbridge.clock import Clock, LiveClock
from panelbridge.config.boards import BOARDS, OTHER, BoardKind
from panelbridge.errors import UsageError
from panelbridge.printing import console_writer, say
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import LineFaults
from panelbridge.simboard.serving.orders import Orders
from panelbridge.simboard.serving.pty_server import PtyServer, pty_exists
from panelbridge.simboard.sim_panel import SimPanel

_LONGEST_WAIT_S = 0.1
_LOOK_FOR_HOST_S = 0.02  # a port that no host has open cannot be waited for
# SIGHUP: its terminal was closed. There is none on Windows, nor a pty to serve.
_STOP_SIGNALS = (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", signal.SIGTERM))
NO_PTY = (
    "this system has no pseudo-terminals, so a board cannot be served as a port.\n"
    "    'panelbridge demo' runs a simulated board in the same process; programs in Python can\n"
    "    register a board and open it as simboard://NAME."
)


def serve(
    *,
    panel: Path | None = None,
    name: str | None = None,
    kind: str = "mega2560",
    link: Path | None = None,
    bounce: bool = True,
    noise_counts: int = 0,
    faults: Sequence[str] = (),
    seed: int | None = None,
    reset_on_open: bool = False,
) -> int:
    """Serve a simulated board on a pty until a signal to stop or the order ``quit``.

    Args:
        panel: panel file that the board belongs to; None = a bare board of ``kind``.
        name: which board of the panel file; needed when it has several.
        kind: kind of the bare board.
        link: symbolic link to the port.
        bounce: contacts that are moved by the panel's names bounce.
        noise_counts: largest deviation of analogue readings, counts.
        faults: of the line, ``NAME=VALUE`` each.
        seed: of everything random; None = another one each time.
        reset_on_open: a host that opens the port resets the board.

    Returns:
        Exit code: 0, or 2 on a system without pseudo-terminals.

    Raises:
        UsageError: an argument that is not valid.
        ConfigError: errors in the panel file.
    """
    if not pty_exists():
        say(NO_PTY, sys.stderr)
        return 2
    if seed is None:
        seed = random.SystemRandom().randrange(1 << 30)
    line_faults = LineFaults(seed)
    for text in faults:
        line_faults.order_text(text)
    sim_panel = None
    if panel is not None:
        from panelbridge.config.load import load_panel
        from panelbridge.logic.inventory import switches_of

        loaded = load_panel(panel)
        sim_panel = SimPanel(
            loaded.panel,
            seed=seed,
            bounce=bounce,
            noise_counts=noise_counts,
            declared=switches_of(loaded.aircraft),
        )
        board = sim_panel.boards[_pick(sim_panel, name)]
    else:
        board = _bare_board(kind, seed, noise_counts)
    clock = LiveClock()
    cable = Cable(board, line_faults)
    server = PtyServer(cable, clock, link=link, reset_on_open=reset_on_open)
    try:
        with _until_stopped():
            _Console(server, Orders(cable, clock, sim_panel), clock).run()
    finally:
        server.close()
    return 0


class _Console:
    """Serves the port, carries out typed orders, and prints what changes."""

    def __init__(self, server: PtyServer, orders: Orders, clock: Clock) -> None:
        self._server = server
        self._orders = orders
        self._clock = clock
        self._stdin = _fileno_of_stdin()
        self._typed = b""
        self._printed: dict[str, str] = {}
        self._printed_port = ("", False)
        self._lines = console_writer()  # a board must not stop for its output

    def run(self) -> None:
        try:
            while not self._orders.quit:
                self._server.step()
                self._print_port()
                self._print_outputs()
                self._wait()
        finally:
            self._lines.close()

    def _wait(self) -> None:
        longest_s = _LONGEST_WAIT_S if self._server.host_present else _LOOK_FOR_HOST_S
        wait_s = min(self._server.next_due_s - self._clock.now(), longest_s)
        stdin = [] if self._stdin is None else [self._stdin]
        ready, _, _ = select.select([*stdin, *self._server.filenos], (), (), max(wait_s, 0.0))
        if self._stdin is not None and self._stdin in ready:
            self._read_orders(self._stdin)

    def _read_orders(self, fileno: int) -> None:
        data = os.read(fileno, 4096)
        if not data:
            self._stdin = None
            # At the end of a file of orders the board stays served; Ctrl-D at a terminal stops it.
            self._orders.quit = self._orders.quit or os.isatty(fileno)
        *lines, self._typed = (self._typed + data).split(b"\n")
        for line in lines:
            for answer in self._orders.carry_out(line.decode("utf-8", "replace")):
                self._lines.put(answer)

    def _print_port(self) -> None:
        path, host_present = port = (self._server.path, self._server.host_present)
        if path != self._printed_port[0]:
            self._lines.put(f"port {path}" if path else "unplugged")
        elif host_present != self._printed_port[1]:
            self._lines.put("port opened" if host_present else "port closed")
        self._printed_port = port

    def _print_outputs(self) -> None:
        # Gauges move all the time: only the order 'lamps' prints them.
        lines = [line for line in self._orders.driven() if not line.startswith("gauge")]
        driven = dict(line.rsplit(" ", 1) for line in lines)
        for output in self._printed.keys() - driven.keys():
            self._lines.put(f"{output} not driven")
        for output, state in driven.items():
            if self._printed.get(output) != state:
                self._lines.put(f"{output} {state}")
        self._printed = driven


def _pick(panel: SimPanel, name: str | None) -> str:
    boards = list(panel.boards)
    if name is None and len(boards) == 1:
        return boards[0]
    if name not in panel.boards or name is None:
        what = f"the panel has no board {name!r}" if name else "the panel has several boards"
        raise UsageError(what, hint="give --name one of: " + ", ".join(boards))
    return name


def _bare_board(kind: str, seed: int, noise_counts: int) -> SimBoard:
    if kind == OTHER:
        what = "a board of another kind is described by a panel file"
        raise UsageError(what, hint="give its panel file instead of --kind")
    known: dict[str, BoardKind] = {name: name for name in BOARDS}
    if kind not in known:
        raise UsageError(f"there is no board {kind!r}", hint="boards are: " + ", ".join(known))
    boot_id = random.Random(seed).randrange(65536)
    return SimBoard(known[kind], boot_id=boot_id, noise_counts=noise_counts, seed=seed)


def _fileno_of_stdin() -> int | None:
    try:
        return sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # there is no standard input
        return None


@contextlib.contextmanager
def _until_stopped() -> Iterator[None]:
    """Ctrl-C, SIGTERM and SIGHUP end this block instead of the process; a second one is ignored."""

    def stop(number: int, frame: object) -> None:
        for each in _STOP_SIGNALS:
            signal.signal(each, signal.SIG_IGN)
        raise KeyboardInterrupt

    before = {each: signal.signal(each, stop) for each in _STOP_SIGNALS}
    try:
        with contextlib.suppress(KeyboardInterrupt):
            yield
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
