"""Boards that are killed or stopped at random moments, and a host that falls asleep."""

from __future__ import annotations

import random
import signal
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from panelbridge.link.wire.time_outs import SILENCE_S
from tests.worst_day.attack import Ground, Lost, Survived
from tests.worst_day.cockpit import Cockpit, make_cockpit, mirrored
from tests.worst_day.processes import CLOCK, Board, Process, runs_headless

_ASLEEP_S = 2.0
_SILENCES = ("pressed", "released")
_WORDS = {"pressed": "press", "released": "release"}


class Scene:
    """A board, its run, and how its switches stand."""

    def __init__(self, ground: Ground, stack: ExitStack, *, in_the_air: bool) -> None:
        self.cockpit: Cockpit = make_cockpit(ground.room, in_the_air=in_the_air)
        self.link: Path = ground.room / "board"
        self.rng: random.Random = ground.rng()
        self._stack = stack
        self.board = self.new_board()
        self.run: Process = stack.enter_context(runs_headless(self.cockpit.panel, self.link))
        self.run.wait_for("board_connected")

    def new_board(self) -> Board:
        """Another life of the board."""
        seed = self.rng.randrange(1, 1 << 30)
        self.board = self._stack.enter_context(Board(self.cockpit.panel, self.link, seed=seed))
        return self.board

    def move(self) -> dict[str, str]:
        """Move every switch to a random place; gives the lamps that show it."""
        handle, silence = self.rng.choice(("up", "down")), self.rng.choice(_SILENCES)
        self.board.order(f"gear_handle {handle}")
        self.board.order(f"horn_silence {_WORDS[silence]}")
        return mirrored(handle, silence)

    def wait_a_random_time(self, longest_s: float) -> None:
        """The moment of a strike."""
        CLOCK.sleep_until(CLOCK.now() + self.rng.uniform(0.0, longest_s))

    def end(self) -> None:
        """Both end cleanly. Raises: Lost."""
        for process in (self.run, self.board):
            if (code := process.stop()) != 0:
                raise Lost(f"exit code {code}: {process.complaints()[-300:]}")
            process.check_clean()


def kill_boards(ground: Ground) -> Iterator[Survived]:
    """The board's process is killed at random moments, mid-way through its set-up too."""
    with ExitStack() as stack:
        scene = Scene(ground, stack, in_the_air=True)
        for life in range(ground.times):
            scene.move()
            scene.wait_a_random_time(0.3)
            scene.board.kill()
            board = scene.new_board()
            wanted = scene.move()
            if scene.rng.random() < 0.3 and life + 1 < ground.times:
                yield Survived()  # the next strike meets it before it is live
                continue
            recovered_s = board.wait_for_outputs(wanted)
            yield Survived(recovery_s=recovered_s - board.ready_s)
        scene.end()


def stop_boards(ground: Ground) -> Iterator[Survived]:
    """The board's process is stopped for shorter and longer than the link bears."""
    with ExitStack() as stack:
        scene = Scene(ground, stack, in_the_air=True)
        for at in range(ground.times):
            scene.board.send(signal.SIGSTOP)
            if at % 4 == 3:  # long: until the run has noticed
                scene.run.wait_for("board_lost")
            else:
                scene.wait_a_random_time(SILENCE_S / 2)
            wanted = scene.move()
            scene.board.send(signal.SIGCONT)
            woken_s = CLOCK.now()
            recovered_s = scene.board.wait_for_outputs(wanted)
            yield Survived(recovery_s=recovered_s - woken_s)
        scene.end()


def sleeping_host(ground: Ground) -> Iterator[Survived]:
    """The run sleeps until its board has given it up, the handle is moved meanwhile.

    As after a reconnect nothing is commanded until handle and gear have agreed.
    """
    with ExitStack() as stack:
        scene = Scene(ground, stack, in_the_air=True)
        board, run = scene.board, scene.run
        for _ in range(ground.times):
            board.order("gear_handle down")
            board.wait_for_outputs(mirrored("down", "released"))
            run.send(signal.SIGSTOP)
            board.wait_for_outputs(dict.fromkeys(mirrored("down", "released"), "0"))
            run.skip()
            woken_at = len(run.lines)
            board.order("gear_handle up")
            CLOCK.sleep_until(CLOCK.now() + _ASLEEP_S)  # the handle stands still again on waking
            run.send(signal.SIGCONT)
            board.wait_for_outputs(mirrored("up", "released"))
            board.order("lamp_test press")  # what came before has been worked off with this
            run.wait_for("lamp_test_started")
            board.order("lamp_test release")
            run.wait_for("lamp_test_ended")
            if commanded := [line for line in run.lines[woken_at:] if "_commanded" in line]:
                raise Lost(f"commanded on waking: {commanded[0].strip()}")
            # A pilot who moves the handle back and up again is obeyed.
            board.order("gear_handle down")
            board.wait_for_outputs(mirrored("down", "released"))
            board.order("gear_handle up")
            run.wait_for("gear_up_commanded")
            board.order("gear_handle down")
            run.wait_for("gear_down_commanded")
            yield Survived()
        scene.end()
