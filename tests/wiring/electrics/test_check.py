"""What ``check`` says of currents: at which place, as what, and that shipped panels pass."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.load import check_file, load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.config.supply_check import check_supplies
from panelbridge.wiring.electrics import wired_panel
from panelbridge.wiring.electrics.check import check_electrics, findings
from tests.config.texts import parse_yaml
from tests.wiring.electrics.panels import HEAD, board, found, lamps, problems

PANELS = sorted((shipped_folder() / "panels").glob("*.yaml"))


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.name)
def test_the_shipped_panels_pass_without_a_warning(path: Path) -> None:
    checked = check_file(path)
    assert checked.warnings == ()
    panel = load_panel(path).panel
    assert list(check_electrics(panel, checked.source)) == []


def copied(folder: Path, name: str, *changes: tuple[str, str]) -> Path:
    """A shipped panel in another folder, with changes."""
    text = shipped_config(f"panels/{name}.yaml").read_text("utf-8")
    for before, after in (("../", f"{shipped_folder().as_posix()}/"), *changes):
        assert before in text
        text = text.replace(before, after)
    path = folder / "panel.yaml"
    path.write_text(text, "utf-8")
    return path


def test_330_ohm_are_too_little_for_the_freighters_large_board(tmp_path: Path) -> None:
    """By hand: 23 LEDs at (5 - 2.1) / 330 = 8.8 mA are 202 mA, and a horn and contacts."""
    change = ("electrics:\n", "electrics:\n  resistor_ohm: 330\n")
    checked = check_file(path := copied(tmp_path, "four_engine_freighter_panel", change))
    said = list(check_electrics(load_panel(path).panel, checked.source))
    assert [problem.is_warning for problem in said] == [False, False]
    assert "206 mA, at worst 224 mA, and the limit is 200 mA" in said[0].what
    assert "74HC595" in said[1].what


def test_what_a_whole_file_gets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = copied(
        tmp_path,
        "first_lamp",
        ("horn: D8", "horn:\n  pin: D13\n  sounder: magnetic_buzzer\n  coil_ohm: 17"),
        ("nose_green: D9", "nose_green: { pin: D9, resistor_ohm: 120 }"),
    )
    assert run_app(["check", str(path)]) == 2
    said = capsys.readouterr().err
    lines = path.read_text("utf-8").splitlines()
    horn = next(n for n, line in enumerate(lines, 1) if line.startswith("horn:"))
    lamp = next(n for n, line in enumerate(lines, 1) if "nose_green:" in line)
    for place, words in (
        (f"{horn + 1}:8", "pin D13 of board 'main': 294 mA, and the limit is 40 mA"),
        (f"{horn}:1", "the horn is a coil at a pin and takes 294 mA"),
        (f"{horn + 1}:8: warning", "pin 'D13' moves while the board starts"),
        (f"{lamp}:22: warning", "pin D9 of board 'main': 23 mA, at worst 25 mA"),
    ):
        assert re.search(rf"panel\.yaml:{place}: {re.escape(words)}", said), (place, words, said)
    assert "Traceback" not in said


def test_a_file_with_warnings_only_is_good(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["check", str(copied(tmp_path, "first_lamp", ("horn: D8", "horn: D13")))]) == 0
    shown = capsys.readouterr()
    assert "good panel file" in shown.out
    assert "warning: pin 'D13' moves" in shown.err


def test_a_panel_that_check_refuses_can_be_loaded(tmp_path: Path) -> None:
    """DEVELOPERS.md, decision 44."""
    change = ("horn: D8", "horn: { pin: D8, sounder: magnetic_buzzer }")
    path = copied(tmp_path, "first_lamp", change)
    assert load_panel(path).panel.horn is not None
    assert run_app(["check", str(path)]) == 2


def test_29_lamps_of_20_ma_on_one_board() -> None:
    pins = [f"D{number}" for number in range(22, 51)]
    said = problems(board("mega2560") + lamps(dict.fromkeys(pins, 20)))
    errors = [p.what for p in said if not p.is_warning and "all pins" in p.what]
    assert len(errors) == 1
    assert "580 mA, and the limit is 200 mA" in errors[0]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("lamps: { a_red: { pin: D3, supply: five } }", "there is no supply 'five'"),
        ("electrics: { supplies: { board: { voltage_v: 5 } } }", "cannot be called 'board'"),
        ("electrics: { supplies: { Five V: { voltage_v: 5 } } }", "cannot be called 'Five V'"),
    ],
)
def test_names_of_supplies(text: str, what: str) -> None:
    (problem,) = check_supplies(parse_yaml(HEAD + text, "f"))
    assert what in problem.what
    assert not problem.is_warning
    assert problem.hint


def test_supplies_that_are_there_are_good() -> None:
    text = (
        "lamps: { a_red: { pin: D3, supply: five }, b_red: { pin: D4, supply: board } }\n"
        "electrics: { supplies: { five: { voltage_v: 5 } } }"
    )
    assert [*check_supplies(parse_yaml(HEAD + text, "f"))] == []


def test_bulbs() -> None:
    at_pin = problems(board("uno") + "lamps: { a_red: { pin: D3, light: bulb } }\n")
    assert [(p.is_warning, "cold" in p.what, "no current" in p.what) for p in at_pin] == [
        (False, True, False),
        (True, False, True),
    ]
    good = (
        board("uno")
        + "lamps: { a_red: { pin: D3, light: bulb, current_ma: 40, driver: mosfet, supply: x } }\n"
        + "electrics: { supplies: { x: { voltage_v: 28 } } }\n"
    )
    assert problems(good) == []


def test_a_supply_without_a_driver() -> None:
    low = (
        board("uno")
        + "lamps: { a_red: { pin: D3, supply: x } }\n"
        + "electrics: { supplies: { x: { voltage_v: 5 } } }\n"
    )
    assert [p.is_warning for p in problems(low)] == [True]
    assert [p.is_warning for p in problems(low.replace("voltage_v: 5", "voltage_v: 12"))] == [False]


@pytest.mark.parametrize(("chip", "good"), [("atmega328pb", True), ("rp2040", False)])
def test_a_chip_that_the_board_cannot_have(chip: str, good: bool) -> None:
    said = problems(board("uno", f", chip: {chip}") + "lamps: { a_red: D3 }\n")
    assert [p.is_warning for p in said if "has no" in p.what] == ([] if good else [False])


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.name)
def test_what_is_said_of_a_shipped_panel_is_notes_only(path: Path) -> None:
    panel = wired_panel(load_panel(path).panel)
    notes = findings(panel)
    assert {note.level.name for note in notes} <= {"NOTE"}
    unknown = {board.entry.board for board in panel.boards.values() if board.chip is None}
    assert unknown <= {"other"}
    about = {"switches", "own_switches", "gauges", *(["boards"] if unknown else [])}
    assert {note.place[0] for note in notes} <= about


def test_every_problem_says_what_to_do() -> None:
    text = board("pico") + (
        "switches: { lamp_test: { pin: GP4, series_ohm: 50000, capacitor_nf: 1000 } }\n"
        "lamps: { a_blue: GP3, b_red: { pin: GP5, resistor_ohm: 10 } }\n"
        "horn: { pin: GP6, sounder: magnetic_buzzer }\n"
        "gauges: { emergency_air: { pin: GP8, supply: board, pulse_at_0_us: 600 } }\n"
        "solenoids: { handle_lock: { pin: GP9, flyback_diode: false, pull_down: false } }\n"
    )
    said = found(text)
    assert len(said) >= 10
    assert all(one.hint and not one.hint.endswith(".") for one in said)
    assert all(not one.what.endswith(".") for one in said)
