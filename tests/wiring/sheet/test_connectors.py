"""Headers of boards and pins of chips: complete, each once, with a source."""

from __future__ import annotations

from collections import Counter

import pytest

from panelbridge.config.boards import BOARDS, Board, Pin
from panelbridge.wiring.sheet.chips import ARRAY_CHIP, INPUT_CHIP, OUTPUT_CHIP
from panelbridge.wiring.sheet.connectors import pinout_of

TWICE = {"GND", "5V", "NC", "RESET"}


@pytest.mark.parametrize("kind", sorted(BOARDS))
def test_every_pin_of_a_board_is_on_its_headers_once(kind: str) -> None:
    board = next(one for one in BOARDS.values() if one.kind == kind)
    pinout = pinout_of(board)
    headers = [header for edge in pinout.edges for header in (*edge.left, *edge.right)]
    positions = Counter(name for header in headers for name in header.positions)
    assert {name for name in positions if name in board.pins} == set(board.pins)
    assert {name for name, count in positions.items() if count > 1} <= TWICE
    assert positions["GND"] >= 2
    assert pinout.source


def test_positions_from_the_published_pinouts() -> None:
    # The tables that `connectors.py` names, at positions that are easily exchanged.
    wanted = {
        "uno": {
            "5V": "POWER 5",
            "A0": "ANALOG IN 1",
            "D13": "DIGITAL 5",
            "D2": "DIGITAL (lower) 6",
        },
        "mega2560": {
            "D22": "DIGITAL (even) 2",
            "D53": "DIGITAL (odd) 17",
            "A15": "ANALOG IN (lower) 8",
            "D14": "COMMUNICATION 1",
        },
        "nano": {"D12": "right 1", "D1": "right 15", "D13": "left 1", "VIN": "left 15"},
        "micro": {"SCK": "left 17", "MOSI": "right 17", "A0": "left 4"},
        "pico": {
            "GP0": "pins 1 to 20 1",
            "GP15": "pins 1 to 20 20",
            "VBUS": "pins 40 to 21 1",
            "GP16": "pins 40 to 21 20",
            "GP26": "pins 40 to 21 10",
        },
    }
    for board in BOARDS.values():
        places = pinout_of(board).places
        for pin, place in wanted.get(board.kind, {}).items():
            assert places[pin] == place, board.kind


def test_a_pin_of_the_pico_has_the_number_of_the_published_board() -> None:
    # Pins 1 to 20 go down on the left, 21 to 40 up on the right (device tree binding).
    edge = pinout_of(BOARDS["pico"]).edges[0]
    left, right = edge.left[0].positions, edge.right[0].positions
    number = {name: at for at, name in enumerate(left, 1)}
    number |= {name: 40 - at for at, name in enumerate(right)}
    assert (number["GP9"], number["GP22"], number["GP28"], number["3V3"]) == (12, 29, 34, 36)


def test_a_board_of_an_unknown_kind_has_its_pins_in_the_order_of_the_file() -> None:
    pins = {f"IO{n}": Pin(f"IO{n}", n) for n in (5, 3, 9)}
    board = Board("other", BOARDS["uno"].code, pins)
    assert [name for name in pinout_of(board).places if name in pins] == ["IO5", "IO3", "IO9"]
    assert "compare" in pinout_of(board).source


def test_chips_have_the_pins_of_their_data_sheets() -> None:
    # 74HC165: PROTOCOL.md section 6 and memory. 74HC595, ULN2803A: the tables that chips.py names.
    assert [INPUT_CHIP.number(pin) for pin in ("PL", "CP", "Q7", "DS", "D0", "CE")] == [
        *(1, 2, 9, 10, 11, 15),
    ]
    assert [OUTPUT_CHIP.number(pin) for pin in ("Q0", "Q7", "Q7S", "MR", "OE", "DS")] == [
        *(15, 7, 9, 10, 13, 14),
    ]
    for output in range(1, 9):  # an output is opposite its input
        assert ARRAY_CHIP.number(f"OUT{output}") == 19 - ARRAY_CHIP.number(f"IN{output}")
    assert (ARRAY_CHIP.number("GND"), ARRAY_CHIP.number("COM")) == (9, 10)
    for chip in (INPUT_CHIP, OUTPUT_CHIP):
        assert (chip.number("GND"), chip.number("VCC"), len(set(chip.pins))) == (8, 16, 16)
