"""What ``panelbridge simboard`` does: a board on a pty, with orders from the keyboard."""

from __future__ import annotations

import contextlib
import os
import random
import select
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from panelbridge.clock import Clock, LiveClock
from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.errors import UsageError
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import LineFaults
from panelbridge.simboard.serving.orders import Orders
from panelbridge.simboard.serving.pty_server import PtyServer, pty_exists
from panelbridge.simboard.sim_panel import SimPanel

_LONGEST_WAIT_S = 0.1
_LOOK_FOR_HOST_S = 0.02  # a port that nobody has open cannot be waited for
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
    """Serve a simulated board on a pty until Ctrl-C, SIGTERM or the order ``quit``.

    Args:
        panel: panel file that the board belongs to; without one it is a bare board of ``kind``.
        name: which board of the panel file; needed when it has several.
        kind: kind of the bare board.
        link: symbolic link to the port.
        bounce: contacts that are moved by the panel's names bounce.
        noise_counts: largest deviation of analogue readings, counts.
        faults: of the line, ``NAME=VALUE`` each.
        seed: of everything that happens by chance; None = another one each time.
        reset_on_open: a host that opens the port resets the board.

    Returns:
        Exit code: 0, or 2 on a system without pseudo-terminals.

    Raises:
        UsageError: an argument that cannot be.
        ConfigError: mistakes in the panel file.
    """
    if not pty_exists():
        print(NO_PTY, file=sys.stderr)
        return 2
    if seed is None:
        seed = random.SystemRandom().randrange(1 << 30)
    line_faults = LineFaults(seed)
    for text in faults:
        line_faults.order_text(text)
    sim_panel = None
    if panel is not None:
        sim_panel = _load(panel, seed, bounce=bounce, noise_counts=noise_counts)
        board = sim_panel.boards[_pick(sim_panel, name)]
    else:
        board = _bare_board(kind, seed, noise_counts)
    clock = LiveClock()
    cable = Cable(board, line_faults)
    server = PtyServer(cable, clock, link=link, reset_on_open=reset_on_open)
    try:
        with _stop_signals() as (wake_fileno, stopped):
            _Loop(server, Orders(cable, clock, sim_panel), clock, wake_fileno, stopped).run()
    except BrokenPipeError:
        # Nobody reads our lines any more; keep the interpreter from failing at its last flush.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    finally:
        server.close()
    return 0


class _Loop:
    """Bytes, orders and lines until it is told to stop."""

    def __init__(
        self,
        server: PtyServer,
        orders: Orders,
        clock: Clock,
        wake_fileno: int,
        stopped: Callable[[], bool],
    ) -> None:
        self._server = server
        self._orders = orders
        self._clock = clock
        self._wake_fileno = wake_fileno
        self._stopped = stopped
        self._stdin = _fileno_of_stdin()
        self._typed = b""
        self._said: dict[str, str] = {}
        self._said_of_port = ("", False)

    def run(self) -> None:
        while not (self._stopped() or self._orders.quit):
            self._server.step()
            self._say_changes()
            self._wait()

    def _wait(self) -> None:
        present = self._server.host_present
        longest_s = _LONGEST_WAIT_S if present else _LOOK_FOR_HOST_S
        wait_s = min(self._server.next_due_s - self._clock.now(), longest_s)
        reading = [self._wake_fileno, *self._server.filenos]
        if self._stdin is not None:
            reading.append(self._stdin)
        ready, _, _ = select.select(reading, (), (), max(wait_s, 0.0))
        if self._stdin is not None and self._stdin in ready:
            self._read_orders(self._stdin)

    def _read_orders(self, fileno: int) -> None:
        data = os.read(fileno, 4096)
        if not data:
            self._stdin = None
            # The end of a file of orders leaves the board served; Ctrl-D at a terminal stops it.
            self._orders.quit = self._orders.quit or os.isatty(fileno)
        *lines, self._typed = (self._typed + data).split(b"\n")
        for line in lines:
            for answer in self._orders.carry_out(line.decode("utf-8", "replace")):
                print(answer, flush=True)

    def _say_changes(self) -> None:
        port = (self._server.path, self._server.host_present)
        if port != self._said_of_port:
            if port[0] != self._said_of_port[0]:
                print(f"port {port[0]}" if port[0] else "unplugged", flush=True)
            else:
                print("port opened" if port[1] else "port closed", flush=True)
            self._said_of_port = port
        # A needle is hardly ever still: the order 'lamps' tells where it is.
        lines = [line for line in self._orders.driven() if not line.startswith("gauge")]
        driven = dict(line.rsplit(" ", 1) for line in lines)
        if driven != self._said:
            for thing in self._said.keys() - driven.keys():
                print(f"{thing} not driven", flush=True)
            for thing, state in driven.items():
                if self._said.get(thing) != state:
                    print(f"{thing} {state}", flush=True)
            self._said = driven


def _load(panel: Path, seed: int, *, bounce: bool, noise_counts: int) -> SimPanel:
    from panelbridge.config.load import load_panel

    loaded = load_panel(panel)
    return SimPanel(loaded.panel, seed=seed, bounce=bounce, noise_counts=noise_counts)


def _pick(panel: SimPanel, name: str | None) -> str:
    boards = list(panel.boards)
    if name is None and len(boards) == 1:
        return boards[0]
    if name not in panel.boards or name is None:
        what = f"the panel has no board {name!r}" if name else "the panel has several boards"
        raise UsageError(what, hint="give --name one of: " + ", ".join(boards))
    return name


def _bare_board(kind: str, seed: int, noise_counts: int) -> SimBoard:
    known: dict[str, BoardKind] = {name: name for name in BOARDS}
    if kind not in known:
        raise UsageError(f"there is no board {kind!r}", hint="boards are: " + ", ".join(known))
    boot_id = random.Random(seed).randrange(65536)
    return SimBoard(known[kind], boot_id=boot_id, noise_counts=noise_counts, seed=seed)


def _fileno_of_stdin() -> int | None:
    try:
        return sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # started without one
        return None


@contextlib.contextmanager
def _stop_signals() -> Iterator[tuple[int, Callable[[], bool]]]:
    """Ctrl-C and SIGTERM end the loop instead of the process: (what to wait for, whether so)."""
    stop = threading.Event()
    wake_in, wake_out = os.pipe()

    def on_signal(signum: int, frame: object) -> None:
        stop.set()
        os.write(wake_out, b"\0")

    before = {
        number: signal.signal(number, on_signal) for number in (signal.SIGINT, signal.SIGTERM)
    }
    try:
        yield wake_in, stop.is_set
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        os.close(wake_in)
        os.close(wake_out)
