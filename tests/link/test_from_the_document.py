"""A board and a host in perl, written from ``PROTOCOL.md`` alone, against the real program.

Their author had the document and a list of the orders below, and saw nothing of our code. What had
to be guessed is in the document now. The board is a port of ``panelbridge run``; the host talks to
our simulated board, over a pty. (What it says to the firmware:
``tests/firmware/test_host_from_the_document.py``.)
"""

from __future__ import annotations

import shutil
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.link.perl import Perl
from tests.own_process import REPOSITORY, Process

pytestmark = pytest.mark.skipif(shutil.which("perl") is None, reason="needs perl")
PINS = ", ".join(f"D{n}: {{ number: {n}, pwm: {str(n in (5, 6)).lower()} }}" for n in range(2, 13))
PANEL = f"""
kind: panel
format: 2
name: Board in perl
aircraft: {REPOSITORY}/configs/aircraft/first_steps.yaml
boards:
  main:
    board: other
    other_board: {{ code: 101, supply_v: 5, resets_on_open: false, pins: {{ {PINS} }} }}
switches:
  gear_handle: {{ form: one_contact, pin: D2, closed_means: down }}
  horn_silence: D4
lamps: {{ nose_green: D5, left_green: D6, right_green: D7 }}
horn: D8
not_fitted: [lamp_test, nose_red, left_red, right_red]
"""


@pytest.fixture
def board() -> Iterator[Perl]:
    with Perl("board.pl") as perl:
        perl.port = perl.wait_for("port ").split()[1]
        yield perl


@pytest.fixture
def run(board: Perl, tmp_path: Path) -> Iterator[Process]:
    path = tmp_path / "panel.yaml"
    path.write_text(PANEL, "utf-8")
    board.order("close 2")
    process = Process("run", str(path), "--port", f"socket://127.0.0.1:{board.port}", "--headless")
    yield process
    if process.is_running:
        process.kill()
    assert not [line for line in process.lines if "Traceback" in line]


def lamps_lit(board: Perl) -> None:
    for pin in (5, 6, 7):
        board.wait_for(f"lamp {pin} 255")


def test_the_real_program_brings_the_board_to_life(board: Perl, run: Process) -> None:
    run.wait_for("board_connected")
    lamps_lit(board)
    board.order("open 2")
    run.wait_for("ground_retract_refused")
    board.wait_for("tone 8 700")
    board.wait_for("tone 8 0")  # it plays the pattern by itself
    board.order("close 2")
    run.wait_for("horn_stopped")
    assert run.stop(signal.SIGINT) == 0
    board.wait_for("free")


def test_a_reset_a_silence_and_a_killed_host_are_survived(board: Perl, run: Process) -> None:
    run.wait_for("board_connected")
    lamps_lit(board)
    board.order("reset")
    board.wait_for("free")
    run.wait_for("board_reconnected")
    lamps_lit(board)
    board.order("deaf 1500")
    run.wait_for("board_lost")
    run.wait_for("board_reconnected")
    lamps_lit(board)
    run.kill()
    for pin in (5, 6, 7):
        board.wait_for(f"lamp {pin} 0")  # at idle


DAMAGE = ("--fault", "flip_bit=0.002", "--fault", "drop=0.001", "--fault", "duplicate=0.001")


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="needs a pseudo-terminal")
@pytest.mark.parametrize("faults", [(), DAMAGE], ids=["clean", "damaged line"])
def test_the_host_drives_our_simulated_board(tmp_path: Path, faults: tuple[str, ...]) -> None:
    link = tmp_path / "port"
    sim = Process("simboard", "--kind", "uno", "--link", str(link), "--seed", "3", *faults)
    try:
        sim.wait_for("port ")
        with Perl("host.pl", "file", str(link)) as host:
            assert host.wait_for("hello ").split()[1::2] == ["1", "32"]
            host.wait_for("live")
            host.wait_for("contact 0")
            for _ in range(3):
                sim.order("pin D2 closed")
                host.wait_for("contact 1")
                sim.wait_for("D5 200")
                sim.order("pin D2 open")
                host.wait_for("contact 0")
                sim.wait_for("D5 0")
            if faults:
                assert any(line.startswith("bad ") for line in host.lines)
                return
            host.order("tone 2")
            sim.wait_for("horn D8 continuous")
            host.order("silent 1500")
            host.wait_for("flags 1")
            sim.wait_for("horn D8 silent")
            host.wait_for("flags 0")
            sim.wait_for("horn D8 continuous")
            sim.order("reset")
            host.wait_for("reset")
            host.wait_for("live")
            host.order("release")
            host.wait_for("released")
            sim.wait_for("not driven")
    finally:
        if sim.is_running:
            sim.stop()
