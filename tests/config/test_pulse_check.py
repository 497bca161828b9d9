"""Pulses of a Pico-class board's pins, two things at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.cross_check import check_pulses
from panelbridge.config.yaml_source import read_yaml

LAMP = "lamps: {{ red: {{ board: main, pin: {} }} }}\n"
HORN = "horn: {{ board: main, pin: {} }}\n"
GAUGE = "gauges: {{ pressure: {{ board: main, pin: {} }} }}\n"
SLOW_HORN = "horn: {{ board: main, frequency_hz: 1000, pin: {} }}\n"
PLAIN = "lamps: {{ red: {{ board: main, dimmed: false, pin: {} }} }}\n"


@pytest.mark.parametrize(
    ("one", "other", "pins", "clash"),
    [
        (LAMP, HORN, ("GP2", "GP3"), True),
        (LAMP, GAUGE, ("GP2", "GP3"), True),
        (HORN, GAUGE, ("GP2", "GP3"), True),
        (LAMP, GAUGE, ("GP2", "GP18"), True),
        (LAMP, GAUGE, ("GP2", "GP19"), True),
        (LAMP, GAUGE, ("GP2", "GP4"), False),
        (LAMP, GAUGE, ("GP2", "GP2"), False),  # one pin twice is another problem
        (PLAIN, GAUGE, ("GP2", "GP3"), False),
        (LAMP, SLOW_HORN, ("GP2", "GP3"), False),  # the pulses of lamps have 1000 Hz too
        (LAMP, HORN, ("lights.2", "GP3"), False),
    ],
)
def test_a_pair(tmp_path: Path, one: str, other: str, pins: tuple[str, str], clash: bool) -> None:
    path = tmp_path / "panel.yaml"
    boards = "boards: { main: { board: pico } }\n"
    path.write_text(boards + one.format(pins[0]) + other.format(pins[1]), "utf-8")
    found = [problem.what for problem in check_pulses(read_yaml(path))]
    assert len(found) == clash
    if clash:
        assert f"'{pins[0]}' and '{pins[1]}' of a pico share a pulse generator" in found[0]
    path.write_text(
        "boards: { main: { board: mega2560 } }\n" + path.read_text("utf-8").split("\n", 1)[1]
    )
    assert list(check_pulses(read_yaml(path))) == []
