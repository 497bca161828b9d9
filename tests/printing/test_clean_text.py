"""What may be shown: no control function of ECMA-48 or of Unicode gets through."""

from __future__ import annotations

import unicodedata
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from panelbridge.printing.clean_text import clean_line, clean_text

UNSEEN: Any = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


@given(st.text())
@example("\x1b]0;title\x07")
@example("\x9b31m")
@example("\u202eright to left")
@example("\u2028")
def test_law_nothing_unseen_is_left(text: str) -> None:
    shown = clean_text(text)
    assert all(one in "\n\t" or unicodedata.category(one) not in UNSEEN for one in shown)
    assert clean_text(shown) == shown
    assert "\n" not in clean_line(text)


@given(st.text(st.characters(exclude_categories=UNSEEN) | st.sampled_from("\n\t")))
def test_law_what_is_seen_stays(text: str) -> None:
    assert clean_text(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain, ünï, 日本", "plain, ünï, 日本"),
        ("\x1b[2J", "\\x1b[2J"),
        ("bell\x07", "bell\\x07"),
        ("over\rwritten", "over\\x0dwritten"),
        ("\u202e", "\\u202e"),
        ("\U000e0041", "\\U000e0041"),
        ("two\nlines\tand a tab", "two\nlines\tand a tab"),
    ],
)
def test_what_is_shown(text: str, shown: str) -> None:
    assert clean_text(text) == shown


def test_a_line_stays_one_line() -> None:
    assert clean_line("a\nb") == "a\\nb"
