"""The real ``panelbridge run`` with the minimal sketch on a simulated Uno, as ``board: other``.

The panel's board is the one that the sketch's README shows, word for word.
"""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from panelbridge.config.load import load_panel
from tests.firmware.build import MINIMAL
from tests.firmware.live import LiveBoard
from tests.own_process import REPOSITORY, Process

README = (MINIMAL / "README.md").read_text("utf-8")
REST = f"""
kind: panel
format: 2
name: Minimal board
aircraft: {REPOSITORY}/configs/aircraft/first_steps.yaml
switches:
  gear_handle: {{ form: one_contact, pin: D2, closed_means: down }}
  horn_silence: D4
lamps: {{ nose_green: D9, left_green: D10, right_green: D11 }}
horn: D8
not_fitted: [lamp_test, nose_red, left_red, right_red]
"""
HANDLE, LAMPS, HORN = 2, (9, 10, 11), 8


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    block = re.search(r"   ```yaml\n(.*?)   ```", README, re.S)
    assert block
    boards = yaml.safe_load(block[1])
    boards["boards"]["main"]["port"] = str(tmp_path / "board")
    path = tmp_path / "panel.yaml"
    path.write_text(REST + yaml.safe_dump(boards), "utf-8")
    return path


@pytest.fixture(params=[False, True], ids=["plain", "reset on open"])
def board(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[LiveBoard]:
    link = tmp_path / "board"
    board = LiveBoard("uno", link, reset_on_open=request.param, sketch=MINIMAL)
    board.set_contact(HANDLE, True)
    yield board
    board.close()


def test_the_readme_describes_the_pins_of_the_sketch(panel: Path) -> None:
    board = load_panel(panel).panel.boards["main"].hardware
    text = (MINIMAL / "your_board.h").read_text("utf-8")
    for name, number in (
        ("kBoardCode", board.code),
        ("kFullScale", board.counts),
        ("kMaxItems", board.items),
        ("kBaud", load_panel(panel).panel.boards["main"].baud),
    ):
        assert re.search(rf"{name} = {number};", text), name
    dimmed = re.search(r"pinCanDim\(uint8_t pin\) \{ return (.*?);", text)
    assert dimmed
    can_dim = {int(number) for number in re.findall(r"== (\d+)", dimmed[1])}
    assert {pin.number for pin in board.pins.values() if pin.pwm} == can_dim


def test_from_the_handle_to_the_horn_through_resets(panel: Path, board: LiveBoard) -> None:
    run = Process("run", str(panel), "--headless")
    try:
        run.wait_for("board_connected")
        for pin in LAMPS:
            board.wait_for_pin(pin, "1")
        board.set_contact(HANDLE, False)
        run.wait_for("ground_retract_refused")
        board.wait_for_pin(HORN, "1")
        board.set_contact(HANDLE, True)
        run.wait_for("horn_stopped")
        for order in ("reset", "hang"):
            board.order(order)
            board.wait_for_pin(LAMPS[0], "free")
            run.wait_for("board_reconnected")
            for pin in LAMPS:
                board.wait_for_pin(pin, "1")
    finally:
        code = run.stop(signal.SIGINT)
    assert code == 0
    for pin in (*LAMPS, HORN):
        board.wait_for_pin(pin, "free")
    assert not [line for line in run.lines if "Traceback" in line]
