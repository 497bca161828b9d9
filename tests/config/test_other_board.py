"""A board of another kind: its description is what model and checks take for its hardware."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.boards import BOARDS, BoardCode, Pin
from panelbridge.config.load import check_file, load_panel
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.pin_names import is_chain_bit, is_pin_name
from panelbridge.config.shipped import shipped_config
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import WrongBoard
from panelbridge.link.session.greeting import check_hello
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import Hello

PANEL = shipped_config("panels/other_board.yaml")


def test_its_hardware_is_its_description() -> None:
    board = load_panel(PANEL).panel.boards["main"].hardware
    assert (board.kind, board.code, board.items, board.counts) == ("other", 101, 16, 4095)
    assert (board.resets_on_open, board.own_usb, board.supply_v) == (False, True, 3.3)
    assert board.pins["PA2"] == Pin("PA2", 2)
    assert board.pins["PA0"] == Pin("PA0", 0, analogue=True)
    assert board.pins["PB0"] == Pin("PB0", 16, pwm=True)
    assert board.pins["PC13"].reserved == "the board's own lamp hangs on it"
    assert len(board.pins) == 11


@pytest.mark.parametrize("path", sorted(PANEL.parent.glob("*.yaml")), ids=lambda path: path.stem)
def test_raw_checks_and_models_know_the_same_board(path: Path) -> None:
    source = in_long_form(read_yaml(path))
    for name, entry in load_panel(path).panel.boards.items():
        assert board_of_entry(source, name) == entry.hardware


def test_what_a_known_board_has() -> None:
    for kind, board in BOARDS.items():
        assert BoardEntry(board=kind).hardware is board
    assert {kind for kind, board in BOARDS.items() if board.own_usb} == {
        "leonardo",
        "micro",
        "pico",
    }
    assert [kind for kind, board in BOARDS.items() if board.supply_v != 5.0] == ["pico"]


def test_its_numbers_go_over_the_wire() -> None:
    plan = SetupPlan.of(load_panel(PANEL).panel, "main")
    assert [item.pin for item in plan.items] == [2, 3, 16, 17, 18, 19]


def test_boards_of_other_kinds_are_told_apart_by_their_codes() -> None:
    board = load_panel(PANEL).panel.boards["main"].hardware
    check_hello(Hello(1, 101, 1, 0, 7, 0, 16), board, "board 'main'")
    for code, words in (
        (BoardCode.OTHER, r"is of another kind \(code 100\), the panel file says other with code"),
        (BoardCode.UNO, "is a uno, the panel file says other with code 101"),
        (42, r"is of an unknown kind \(42\)"),
    ):
        with pytest.raises(WrongBoard, match=words):
            check_hello(Hello(1, code, 1, 0, 7, 0, 16), board, "board 'main'")


def test_names_of_pins() -> None:
    for name in ("D2", "A0", "GP28", "PA3", "7", "B+", "IO4/SDA", "P0.13", "0.1", "gpio_4", "A~"):
        assert is_pin_name(name), name
        assert not is_chain_bit(name), name
    others: tuple[object, ...] = ("", "A 1", "p0.13", "knobs.3", "+5", "D2 ", "x" * 17, 7, None)
    for other in others:
        assert not is_pin_name(other), other
    assert is_chain_bit("knobs.3")
    assert not is_chain_bit("knobs.03")


def test_a_chain_and_pins_with_points_are_no_trouble(tmp_path: Path) -> None:
    text = PANEL.read_text("utf-8").replace("../aircraft", str(PANEL.parents[1] / "aircraft"))
    text = text.replace("PA3", "P0.3").replace("horn_silence: P0.3", "horn_silence: knobs.3")
    chain = "{ form: inputs, chips: 1, data_pin: P0.3, clock_pin: PA4, latch_pin: PA5 }"
    text = text.replace("    other_board:", f"    chains:\n      knobs: {chain}\n    other_board:")
    (tmp_path / "panel.yaml").write_text(text, "utf-8")
    panel = check_file(tmp_path / "panel.yaml").file
    assert panel.panel.switches.horn_silence.pin == "knobs.3"  # type: ignore[union-attr]
