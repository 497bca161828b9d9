"""Lines of spans: exact widths whatever the words are."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rich.cells import cell_len

from panelbridge.dashboard.text.lines import (
    ClickTarget,
    TextSpan,
    bar,
    fit,
    fit_right,
    heading,
    row,
    side_by_side,
    width_of,
)
from panelbridge.dashboard.text.wrapping import wrap, wrap_at_most
from tests.dashboard.text import text_of

ANY_TEXT = st.text(max_size=40)
WIDTHS = st.integers(min_value=0, max_value=50)


@given(ANY_TEXT, WIDTHS)
def test_fit_is_exactly_as_wide_as_asked(text: str, width: int) -> None:
    assert cell_len(fit(text, width)) == width
    assert cell_len(fit_right(text, width)) == width


@given(ANY_TEXT, WIDTHS)
def test_nothing_that_moves_the_cursor_is_shown(text: str, width: int) -> None:
    assert all(sign.isprintable() for sign in fit(f"\x1b[2J\r\n\t{text}", width))


@given(st.lists(ANY_TEXT, max_size=6), WIDTHS)
def test_a_row_is_exactly_as_wide_as_asked(texts: list[str], width: int) -> None:
    assert width_of(row([TextSpan(fit(text, 7)) for text in texts], width)) == width


@given(st.text(alphabet="abc  \n界", max_size=80), st.integers(min_value=2, max_value=30))
def test_wrapped_lines_fit_and_lose_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert lines
    assert all(cell_len(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_wrapping_breaks_at_spaces() -> None:
    assert wrap("plug the board in again", 10) == ["plug the", "board in", "again"]
    assert wrap("first\n    second", 20) == ["first", "second"]
    assert wrap("", 20) == [""]


def test_a_cut_text_says_so() -> None:
    assert fit("unlocking", 5) == "unlo…"
    assert wrap_at_most("one two three four five", 9, 2) == ["one two", "three fo…"]
    assert wrap_at_most("one two", 9, 2) == ["one two"]


def test_a_cut_piece_keeps_its_look_and_target() -> None:
    target = ClickTarget("gear_handle", "up")
    (span,) = row([TextSpan("upwards", target=target)], 4)
    assert span == TextSpan("upw…", target=target)


@pytest.mark.parametrize(
    ("fraction", "text"),
    [
        (0.0, "░░░░"),
        (0.5, "██░░"),
        (1.0, "████"),
        (7.0, "████"),
        (-1.0, "░░░░"),
        (None, "····"),
    ],
)
def test_bar(fraction: float | None, text: str) -> None:
    assert bar(fraction, 4) == text


def test_heading_columns_begin_where_the_rows_do() -> None:
    line = text_of(heading([("Leg", 7), ("State", 12), ("Trip", -9), ("Port", 5)], 40))
    assert len(line) == 40
    assert line.index("Leg") == 1
    assert line.index("State") == 7
    assert line.index("Trip") + len("Trip") == 7 + 12 + 9
    assert line.index("Port") == 28


def test_blocks_beside_each_other_are_filled_up() -> None:
    lines = side_by_side([([(TextSpan("a "),)], 2), ([(TextSpan("b"),), (TextSpan("c"),)], 1)])
    assert [text_of(line) for line in lines] == ["a b", "  c"]


@given(st.text())
@example("\x1b[31mred")
def test_law_no_span_has_a_control_character(text: str) -> None:
    assert TextSpan(text).text.isprintable()
