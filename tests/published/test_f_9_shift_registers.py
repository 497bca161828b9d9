"""F-9, F-10: what the protocol's document says of the chips that make chains.

F-9: data sheet SCHS353 (CD74HC595): 35 mA an output, 70 mA through the supply or ground pin; the
first bit that is sent is on Q7 after eight clocks. F-10, *common knowledge of the trade, data sheet
not read*: 74HC165, 25 mA and 50 mA, D7 comes out first. The order of the bits is held by
``tests/simboard/contract.py`` on every board that has chips at its pins.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

TEXT = (Path(__file__).parents[2] / "firmware_examples" / "PROTOCOL.md").read_text("utf-8")


def limits(chip: str) -> tuple[int, int, str]:
    """Of an output and of a supply pin, mA, and the note."""
    match = re.search(rf"^\| {chip} \| (\d+) mA \| (\d+) mA \| (.*?) \|", TEXT, re.M)
    assert match
    return int(match[1]), int(match[2]), match[3]


def test_limits_of_the_chips() -> None:
    assert limits("74HC595")[:2] == (35, 70)
    assert limits("74HC165")[:2] == (25, 50)
    assert "SCHS353" in TEXT


@pytest.mark.parametrize(("each_ma", "within"), [(8, True), (10, False)])
def test_eight_leds_at_one_chip(each_ma: int, within: bool) -> None:
    an_output, supply, note = limits("74HC595")
    assert (8 * each_ma <= supply and each_ma <= an_output) is within
    assert re.search(rf"8 (LEDs )?at {each_ma} mA \({8 * each_ma} mA\)", note)


def test_the_order_of_the_bits_is_said() -> None:
    words = " ".join(TEXT.split())
    assert "The first bit read is D7 of the first chip" in words
    assert "The first bit sent is Q7 of the last chip, the last one Q0 of the first" in words
    assert "A chain of two takes 16 reads and 15 shifts between them" in words
