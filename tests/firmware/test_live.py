"""The real ``panelbridge run`` with the Uno's binary, over a pty, in real time.

No step has a time limit of its own: each waits for its line.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.firmware.live import LiveBoard
from tests.own_process import Process

PANEL = "configs/panels/first_lamp.yaml"
Hosts = Callable[[], Process]
HANDLE, LAMPS, HORN = 2, (9, 10, 11), 8  # pins in that file


@pytest.fixture
def link(tmp_path: Path) -> Path:
    return tmp_path / "board"


@pytest.fixture(params=[False, True], ids=["plain", "reset on open"])
def board(request: pytest.FixtureRequest, link: Path) -> Iterator[LiveBoard]:
    board = LiveBoard("uno", link, reset_on_open=request.param)
    board.set_contact(HANDLE, True)
    yield board
    board.close()


@pytest.fixture
def hosts(link: Path) -> Iterator[Hosts]:
    """Starts the program; kills what a failed test left running."""
    started: list[Process] = []

    def start() -> Process:
        feed = ("--feed", "configs/feeds/parked.yaml")
        started.append(Process("run", PANEL, *feed, "--port", str(link), "--headless"))
        return started[-1]

    yield start
    for process in started:
        if process._process.poll() is None:
            process.kill()


def lamps_lit(board: LiveBoard) -> None:
    for pin in LAMPS:
        board.wait_for_pin(pin, "1")


def test_from_the_handle_to_the_horn_and_a_clean_exit(board: LiveBoard, hosts: Hosts) -> None:
    run = hosts()
    run.wait_for("board_connected")
    lamps_lit(board)
    board.set_contact(HANDLE, False)
    run.wait_for("ground_retract_refused")
    board.wait_for_pin(HORN, "1")
    board.set_contact(HANDLE, True)
    run.wait_for("horn_stopped")
    assert run.stop(signal.SIGINT) == 0
    for pin in (*LAMPS, HORN):
        board.wait_for_pin(pin, "free")
    assert not [line for line in run.lines if "Traceback" in line]


def test_a_killed_host_leaves_the_board_at_idle(board: LiveBoard, hosts: Hosts) -> None:
    run = hosts()
    run.wait_for("board_connected")
    lamps_lit(board)
    run.kill()
    for pin in LAMPS:
        board.wait_for_pin(pin, "0")
    again = hosts()  # bytes left on the line by the first one do no harm
    again.wait_for("board_connected")
    lamps_lit(board)
    assert again.stop() == 0


def test_a_board_that_is_reset_in_a_session_is_set_up_again(board: LiveBoard, hosts: Hosts) -> None:
    run = hosts()
    run.wait_for("board_connected")
    for order in ("reset", "hang", "brownout 30"):
        lamps_lit(board)
        board.order(order)
        board.wait_for_pin(LAMPS[0], "free")
        run.wait_for("board_reconnected")
    lamps_lit(board)
    assert run.stop() == 0


def test_a_cable_that_is_unplugged_and_plugged_in_again(link: Path, hosts: Hosts) -> None:
    board = LiveBoard("uno", link)
    board.set_contact(HANDLE, True)
    run = hosts()
    run.wait_for("board_connected")
    lamps_lit(board)
    for _ in range(2):
        board.unplug()
        run.wait_for("board_lost")
        board = LiveBoard("uno", link)
        board.set_contact(HANDLE, True)
        run.wait_for("board_reconnected")
        lamps_lit(board)
    assert run.stop() == 0
    board.close()
    assert not [line for line in run.lines if "Traceback" in line or "commanded" in line]
