"""Large letters: every letter of the words that the screen uses, and their sizes."""

from __future__ import annotations

import pytest

from panelbridge.dashboard.text import big_letters
from panelbridge.dashboard.text.big_letters import big_rows, big_text, big_width


def test_a_word_as_it_looks() -> None:
    assert list(big_text("UP")) == [
        "▄ ▄ ▄▄▄",
        "█ █ █▄█",
        "█▄█ █  ",
    ]


@pytest.mark.parametrize("scale", [1, 2])
def test_sizes_hold(scale: int) -> None:
    for text in ("DOWN 3 GREENS", "1", "W?"):
        lines = big_text(text, scale)
        assert len(lines) == big_rows(scale)
        assert {len(line) for line in lines} == {big_width(text, scale)}
        assert "█" in "".join(lines)


def test_every_letter_is_there_and_no_two_look_alike() -> None:
    shapes = {letter: tuple(big_text(letter)) for letter in big_letters._LETTERS}
    alike = {"O", "0"}, {"S", "5"}
    for one, shape in shapes.items():
        for other, another in shapes.items():
            assert one == other or shape != another or {one, other} in alike
    words = "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789-?!"
    assert set(words) <= set(big_letters._LETTERS)


def test_an_unknown_letter_is_a_question_mark() -> None:
    assert big_text("é") == big_text("?")
