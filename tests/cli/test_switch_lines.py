"""Lines about switches that move."""

from __future__ import annotations

import pytest

from panelbridge.cli.app import run_app
from panelbridge.cli.headless import LEVER_STEP, SwitchLines
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.inventory import switches_of
from panelbridge.signals import HandleContacts, SwitchState
from tests.watch.runs import loaded


def lines_of(*states: SwitchState) -> list[str]:
    lines = SwitchLines(switches_of(loaded().aircraft))
    found = [line for state in states for line in lines.moved(1.5, state)]
    assert all(line.startswith("     1.50 s      switch ") for line in found)
    return [" ".join(line.split()[3:]) for line in found]


def test_each_movement_is_a_line_in_the_words_of_the_switch() -> None:
    down = SwitchState(gear_handle=HandleContacts.DOWN, horn_silence=False, antiskid=True)
    moved = down.having(gear_handle=HandleContacts.BETWEEN, horn_silence=True)
    assert sorted(lines_of(down)) == ["antiskid on", "gear_handle down", "horn_silence released"]
    assert lines_of(down, down, moved)[3:] == ["gear_handle between", "horn_silence pressed"]


def test_the_noise_of_a_lever_is_no_movement_but_its_ends_are() -> None:
    places = [0.5, 0.5 + LEVER_STEP / 2, 0.5 - LEVER_STEP / 2, 0.53, 0.99, 1.0]
    states = [SwitchState(dimmer=place) for place in places]
    assert lines_of(*states) == ["dimmer 50%", "dimmer 53%", "dimmer 99%", "dimmer 100%"]


def test_a_slow_lever_is_seen_from_where_it_was_shown() -> None:
    states = [SwitchState(dimmer=0.2 + at * 0.015) for at in range(5)]
    assert lines_of(*states) == ["dimmer 20%", "dimmer 23%", "dimmer 26%"]


def test_a_board_that_is_lost_is_said() -> None:
    assert lines_of(SwitchState(horn_silence=True), SwitchState())[1:] == ["horn_silence unknown"]


def test_a_run_prints_them_when_it_is_asked_to(capsys: pytest.CaptureFixture[str]) -> None:
    run = ["run", str(shipped_config("panels/first_lamp.yaml")), "--simulate", "--headless"]
    assert run_app([*run, "--seconds", "2", "--switches"]) == 0
    said = capsys.readouterr().out
    assert "switch gear_handle                down" in said
    assert run_app([*run, "--seconds", "1"]) == 0
    assert "switch gear_handle" not in capsys.readouterr().out


def test_they_are_for_a_run_without_a_screen(capsys: pytest.CaptureFixture[str]) -> None:
    panel = str(shipped_config("panels/first_lamp.yaml"))
    assert run_app(["run", panel, "--simulate", "--switches"]) == 2
    assert "--headless" in capsys.readouterr().err
