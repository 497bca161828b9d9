"""``simboard`` and ``run`` as two processes over a pty: the whole way on real bytes.

Real time, so nothing here judges how long anything takes: each step waits for its own line.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.examples import few_of
from tests.own_process import Process

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo-terminals")

PANEL = "configs/panels/demo_panel.yaml"


@pytest.fixture
def link(tmp_path: Path) -> Iterator[str]:
    path = tmp_path / "board"
    yield str(path)
    if os.path.lexists(path):
        path.unlink()


def simboard(link: str, seed: int) -> Process:
    process = Process("simboard", "--panel", PANEL, "--link", link, "--seed", str(seed))
    process.wait_for("port ")
    return process


def host(link: str) -> Process:
    return Process(
        "run", PANEL, "--feed", "configs/feeds/parked.yaml", "--port", link, "--headless"
    )


def test_frames_flow_and_a_clean_stop_puts_the_lamps_out(link: str) -> None:
    board = simboard(link, 1)
    run = host(link)
    run.wait_for("board_connected")
    board.wait_for("lamp nose_green 255")
    board.order("gear_handle up")
    run.wait_for("ground_retract_refused")
    board.wait_for("horn intermittent")
    board.order("gear_handle down")
    run.wait_for("horn_stopped")
    board.wait_for("horn silent")
    assert run.stop(signal.SIGINT) == 0
    board.wait_for("lamp nose_green 0")
    assert board.stop() == 0
    assert not [line for p in (run, board) for line in p.lines if "Traceback" in line]


@pytest.mark.thorough
def test_a_handle_that_moves_while_the_host_is_stopped_is_found_and_not_obeyed(link: str) -> None:
    board = simboard(link, 1)
    run = host(link)
    run.wait_for("board_connected")
    board.wait_for("lamp nose_green 255")
    run.send(signal.SIGSTOP)
    board.wait_for("lamp nose_green 0")  # its host time-out
    board.order("gear_handle up")
    board.order("switches")
    while " up (" not in board.wait_for("switch gear_handle "):
        board.order("switches")
    run.send(signal.SIGCONT)
    run.wait_for("host_not_heard")
    run.wait_for("gear_handle_disagreed")
    board.wait_for("lamp nose_green 255")
    board.order("gear_handle down")
    run.wait_for("gear_handle_agreed")
    assert run.stop() == 0
    assert board.stop() == 0
    assert not [line for line in run.lines if "ground_retract" in line or "board_lost" in line]


@pytest.mark.parametrize("name", few_of(["SIGINT", "SIGTERM", "SIGHUP"]))
def test_every_stop_gives_the_port_its_settings_back(name: str) -> None:
    import termios

    master, slave = os.openpty()
    before = termios.tcgetattr(slave)
    run = host(os.ttyname(slave))
    run.wait_for("board gear_panel")
    assert os.read(master, 1)  # it is open, and a hello is requested
    assert termios.tcgetattr(slave) != before
    assert run.stop(getattr(signal, name)) == 0
    assert termios.tcgetattr(slave) == before
    os.close(slave)
    os.close(master)


@pytest.mark.thorough
def test_five_kills_of_the_board_lose_no_switch_state(link: str) -> None:
    board = simboard(link, 1)
    run = host(link)
    run.wait_for("board_connected")
    for life in range(5):
        board.kill()
        run.wait_for("board_lost")
        board = simboard(link, 2 + life)
        # A switch that stands elsewhere when the board comes back: its state must be seen.
        board.order("lamp_test pressed")
        run.wait_for("board_reconnected")
        run.wait_for("lamp_test_started")
        board.wait_for("lamp nose_red 255")
        board.order("lamp_test released")
        run.wait_for("lamp_test_ended")
        board.wait_for("lamp nose_red 0")
    assert run.stop() == 0
    assert board.stop() == 0
    assert not [line for line in run.lines if "Traceback" in line]
    assert sum("board_lost" in line for line in run.lines) == 5
    # In each life the gear's lamps came back, and nothing was commanded.
    assert not [line for line in run.lines if "commanded" in line]
