"""Terminals: one that belongs to a stranger, and screens whose window was closed."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import termios
import threading
from collections.abc import Iterator
from contextlib import ExitStack, suppress

from tests.worst_day.attack import Case, Ground, Lost, Survived
from tests.worst_day.cockpit import make_cockpit, mirrored
from tests.worst_day.processes import (
    PATIENCE,
    REPOSITORY,
    Board,
    Process,
    runs_headless,
    surroundings,
)

_MOST_TERMINALS = 60


def _stranger(path: str, stack: ExitStack) -> tuple[int, int] | None:
    """A new terminal that has got the number of the board's; None when another program got it."""
    for _ in range(_MOST_TERMINALS):
        master, slave = pty.openpty()
        stack.callback(os.close, master)
        stack.callback(os.close, slave)
        if os.ttyname(slave) == path:
            return master, slave
    return None


def strangers_terminal(ground: Ground) -> Iterator[Survived]:
    """A board is killed, and its link points at a terminal that another program has got since."""
    cockpit = make_cockpit(ground.room)
    link = ground.room / "board"
    with ExitStack() as stack:
        board = stack.enter_context(Board(cockpit.panel, link))
        run = stack.enter_context(runs_headless(cockpit.panel, link))
        for life in range(ground.times):
            board.wait_for_outputs(mirrored("down", "released"))
            path = os.path.realpath(link)
            board.kill()
            with ExitStack() as terminals:
                found = _stranger(path, terminals)
                if found is not None:
                    before = termios.tcgetattr(found[1])
                run.wait_for("board_lost")
                board = stack.enter_context(Board(cockpit.panel, link, seed=life + 2))
                run.wait_for("board_reconnected")
                if found is not None:
                    if termios.tcgetattr(found[1]) != before:
                        raise Lost("the settings of a stranger's terminal were changed")
                    if select.select([found[0]], [], [], 0)[0]:
                        raise Lost(f"written to a stranger: {os.read(found[0], 99)!r}")
            yield Survived()
        run.stop()
        run.check_clean()


class _Screen:
    """``run`` with its screen, on a terminal of its own that somebody looks at."""

    def __init__(self, ground: Ground, stack: ExitStack) -> None:
        cockpit = make_cockpit(ground.room)
        link = ground.room / "board"
        self.board = stack.enter_context(Board(cockpit.panel, link))
        self._master, slave = pty.openpty()
        self._seen = bytearray()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "panelbridge", "run", cockpit.panel, "--port", link],
            cwd=REPOSITORY,
            env={**surroundings(), "TERM": "xterm-256color"},
            stdin=slave,
            stdout=slave,
            stderr=slave,  # where the screen is drawn
            start_new_session=True,
        )
        os.close(slave)
        stack.callback(self.process.wait)
        stack.callback(self.process.kill)
        self._closing = threading.Event()
        self._reader = threading.Thread(target=self._look)
        self._reader.start()
        stack.callback(self.close_window)
        self.board.wait_for_outputs(mirrored("down", "released"))

    def _look(self) -> None:
        while not self._closing.is_set():
            with suppress(OSError):
                if select.select([self._master], [], [], 0.02)[0]:
                    self._seen += os.read(self._master, 65536)

    def close_window(self) -> None:
        """Nobody looks any more, and the terminal is gone."""
        if not self._closing.is_set():
            self._closing.set()
            self._reader.join()
            os.close(self._master)

    def check_end(self, ground: Ground) -> None:
        """It ends, its lamps go dark, and there is no traceback. Raises: Lost."""
        try:
            self.process.wait(PATIENCE.seconds)
        except subprocess.TimeoutExpired:
            raise Lost("the screen goes on without its terminal") from None
        if (code := self.process.returncode) < 0:
            raise Lost(f"it did not end by itself: killed by signal {-code}")
        self.board.wait_for_outputs(dict.fromkeys(mirrored("down", "released"), "0"))
        said = self._seen.decode("utf-8", "replace")
        if "Traceback" in said or "Exception ignored" in said:
            raise Lost(f"a traceback: {said[-300:]}")


def _screen_loses_its_window(ground: Ground) -> Iterator[Survived]:
    with ExitStack() as stack:
        screen = _Screen(ground, stack)
        screen.close_window()
        screen.check_end(ground)
        yield Survived()


def _screen_gets(number: int) -> Case:
    def case(ground: Ground) -> Iterator[Survived]:
        with ExitStack() as stack:
            screen = _Screen(ground, stack)
            screen.process.send_signal(number)
            screen.check_end(ground)
            yield Survived()

    return case


def _headless_gets_hang_up(ground: Ground) -> Iterator[Survived]:
    """The window of a run without a screen was closed: it ends, its lamps go dark."""
    cockpit = make_cockpit(ground.room)
    link = ground.room / "board"
    with ExitStack() as stack:
        board = stack.enter_context(Board(cockpit.panel, link))
        run = stack.enter_context(runs_headless(cockpit.panel, link))
        board.wait_for_outputs(mirrored("down", "released"))
        if (code := run.stop(signal.SIGHUP)) != 0:
            raise Lost(f"exit code {code}")
        board.wait_for_outputs(dict.fromkeys(mirrored("down", "released"), "0"))
        run.check_clean()
        yield Survived()


def _simboard_gets_hang_up(ground: Ground) -> Iterator[Survived]:
    """The window of a simulated board was closed: its link goes with it."""
    link = ground.room / "board"
    with Board(make_cockpit(ground.room).panel, link) as board:
        board.stop(signal.SIGHUP)
        if os.path.lexists(link):
            raise Lost("the link is left behind")
        board.check_clean()
        yield Survived()


def _no_terminal(ground: Ground) -> Iterator[Survived]:
    """A screen is asked for where there is no terminal."""
    panel = make_cockpit(ground.room).panel
    with Process("run", panel, "--simulate", "--seconds", "1") as run:
        run.finish("it did not end")
        run.check_clean()
        yield Survived()


TERMINALS: dict[str, Case] = {
    "stranger": strangers_terminal,
    "screen, closed window": _screen_loses_its_window,
    "screen, SIGHUP": _screen_gets(signal.SIGHUP),
    "screen, SIGTERM": _screen_gets(signal.SIGTERM),
    "run, SIGHUP": _headless_gets_hang_up,
    "simboard, SIGHUP": _simboard_gets_hang_up,
    "screen without a terminal": _no_terminal,
}
