"""Chains of shift registers chip by chip: what hangs at which pin, and how the chips are joined.

Source of the joints: firmware_examples/PROTOCOL.md, section 6.
"""

from __future__ import annotations

from panelbridge.config.shipped import shipped_folder
from panelbridge.wiring.sheet.board_blocks import chain_blocks
from panelbridge.wiring.sheet.drawing.blocks import PinBlock, PinRow
from panelbridge.wiring.sheet.wires import board_wires
from tests.wiring.sheet.panels import shipped

PANELS = shipped_folder() / "panels"


def _chips(panel: str, chain: str) -> list[PinBlock]:
    wired = shipped(PANELS / f"{panel}.yaml")
    board = next(iter(wired.boards.values()))
    wires = {wire.pin: wire for wire in board_wires(wired, board)}
    return list(chain_blocks(board, board.chains[chain], wires))


def _rows(block: PinBlock) -> dict[str, PinRow]:
    return {row.label: row for row in (*block.left, *block.right)}


def test_input_chips_are_joined_as_the_protocol_says() -> None:
    first, second = (_rows(block) for block in _chips("chains_on_small_board", "knobs"))
    for chip in (first, second):
        assert chip["PL"].words == "to D4 of the board (latch)"
        assert chip["CP"].words == "to D3 of the board (clock)"
        assert (chip["CE"].words, chip["CE"].number) == ("ground", "15")
        assert chip["Q7N"].strip is None
    assert first["Q7"].words == "to D2 of the board"
    assert first["DS"].words == "to Q7 (pin 9) of chip 2"
    assert second["Q7"].words == "to DS (pin 10) of chip 1"
    assert second["DS"].words == "last chip: to ground"
    assert first["D0"].name == "gear_handle (up contact)"
    assert first["D7"].name == "parking_brake"
    assert second["D0"].name == "warning_test"
    # An input that nobody uses must not float.
    assert (second["D7"].words, second["D7"].name) == ("not used: to ground", "")


def test_output_chips_are_joined_as_the_protocol_says() -> None:
    chips = [_rows(block) for block in _chips("demo_panel", "cautions")]
    assert len(chips) == 4
    for chip in chips:
        assert chip["STCP"].words == "to D16 of the board (latch)"
        assert chip["SHCP"].words == "to D15 of the board (clock)"
        assert chip["OE"].words == "ground"
        assert chip["MR"].words == "5V rail"
        assert chip["VCC"].words == "5V rail; 100 nF to GND, at the chip"
    assert chips[0]["DS"].words == "to D14 of the board (data)"
    assert chips[0]["Q7S"].words == "to DS (pin 14) of chip 2"
    assert chips[3]["DS"].words == "to Q7S (pin 9) of chip 3"
    assert chips[3]["Q7S"].strip is None
    assert chips[0]["Q0"].name == "gear_power_amber"  # cautions.0
    assert chips[1]["Q0"].name == "left_outer_antiskid_amber"  # cautions.8
    assert chips[3]["Q5"].name == "antiskid_drains_amber"  # cautions.29


def test_the_pin_table_says_chip_and_pin_of_each_bit() -> None:
    wired = shipped(PANELS / "demo_panel.yaml")
    board = next(iter(wired.boards.values()))
    places = {wire.pin: wire.place for wire in board_wires(wired, board)}
    assert places["cautions.0"] == "cautions chip 1, pin 15"
    assert places["cautions.8"] == "cautions chip 2, pin 15"
    assert places["cautions.15"] == "cautions chip 2, pin 7"
    assert places["D14"] == "COMMUNICATION 1"
