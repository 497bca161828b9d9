"""Hostile boards on a pseudo-terminal, against ``run`` as a process of its own."""

from __future__ import annotations

import os
import pty
import random
import select
import threading
import tty
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress

from tests.worst_day.attack import Case, Ground, Lost, Survived
from tests.worst_day.cockpit import make_cockpit
from tests.worst_day.processes import Process

_MOST_LINES = 60
_PIECE = 256

Answer = Callable[[bytes, random.Random], bytes]
"""What a board says to the bytes that have come, if any."""


class _HostileBoard:
    """Answers on a pty in a thread of its own, as fast as the other side takes it.

    Attributes:
        sent: bytes that the other side has taken.
    """

    def __init__(self, answer: Answer, seed: int) -> None:
        self._answer = answer
        self._rng = random.Random(seed)
        self._master, self._slave = pty.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.path = os.ttyname(self._slave)
        self.sent = 0
        self.said_to = 0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self) -> None:
        while not self._stop.is_set():
            ready, _, _ = select.select([self._master], [], [], 0.01)
            came = b""
            if ready:
                with suppress(OSError):
                    came = os.read(self._master, 4096)
            self.said_to += len(came)
            answer = self._answer(came, self._rng)
            with suppress(OSError):  # it is full: the other side does not take more now
                self.sent += os.write(self._master, answer) if answer else 0

    def close(self) -> None:
        self._stop.set()
        self._thread.join()
        os.close(self._slave)
        os.close(self._master)


def _against_run(answer: Answer, *, lines: tuple[str, ...]) -> Case:
    """``run`` says what is wrong, tries again, and ends on SIGTERM."""

    def case(ground: Ground) -> Iterator[Survived]:
        cockpit = make_cockpit(ground.room)
        with ExitStack() as stack:
            board = _HostileBoard(answer, ground.seed)
            stack.callback(board.close)
            arguments = ("run", cockpit.panel, "--port", board.path, "--headless")
            run = stack.enter_context(Process(*arguments))
            for line in lines:
                run.wait_for(line)
            if (code := run.stop()) != 0:
                raise Lost(f"exit code {code}: {run.complaints()[-200:]}")
            run.check_clean()
            if len(run.lines) > _MOST_LINES:
                raise Lost(f"{len(run.lines)} lines of output")
            yield Survived()

    return case


def _floods(came: bytes, rng: random.Random) -> bytes:
    return rng.randbytes(_PIECE)


def _echoes(came: bytes, rng: random.Random) -> bytes:
    return came


def _says_nothing(came: bytes, rng: random.Random) -> bytes:
    return b""


HOSTILE_PTY: dict[str, Case] = {
    "flood on a pty": _against_run(_floods, lines=("board_not_heard",)),
    "echo on a pty": _against_run(_echoes, lines=("board_not_heard",)),
    "silence on a pty": _against_run(_says_nothing, lines=("board_not_heard",)),
}
