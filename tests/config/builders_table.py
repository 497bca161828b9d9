"""The table of boards in ``firmware_examples/README.md``, from what the program knows of them.

``python -m tests.config.builders_table`` prints it.
"""

from __future__ import annotations

from panelbridge.config.boards import BOARDS, Board

NAMES = {
    "uno": "Uno",
    "nano": "Nano",
    "mega2560": "Mega 2560",
    "leonardo": "Leonardo",
    "micro": "Micro",
    "pico": "Pico-class",
}
HEAD = (
    "| Board | `board:` | Pins for switches and lamps | of these can dim a lamp "
    "| of these can read a knob | Pins for knobs only | Most items "
    "| Most switches and lamps with two chains |\n"
    "|---|---|---|---|---|---|---|---|\n"
)
CHAINS = 2
PINS_OF_CHAINS = 3 * CHAINS
MOST_BITS = 128


def row(board: Board) -> str:
    """One board's line."""
    free = [pin for pin in board.pins.values() if not pin.reserved]
    digital = [pin for pin in free if pin.digital]
    numbers = (
        len(digital),
        sum(pin.pwm for pin in digital),
        sum(pin.analogue for pin in digital),
        sum(not pin.digital for pin in free),
        board.items,
        min(board.items - CHAINS, len(digital) - PINS_OF_CHAINS + MOST_BITS),
    )
    cells = " | ".join(str(number) for number in numbers)
    return f"| {NAMES[board.kind]} | `{board.kind}` | {cells} |\n"


def table() -> str:
    """The whole table."""
    return HEAD + "".join(row(board) for board in BOARDS.values())


if __name__ == "__main__":
    print(table(), end="")
