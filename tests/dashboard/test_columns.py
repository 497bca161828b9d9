"""Blocks in columns and parts: nothing is lost, nothing is too long."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.dashboard.text.columns import columns_in, fill_columns, lay_out
from panelbridge.dashboard.text.lines import Line, TextSpan, width_of
from tests.dashboard.text import text_of

CELLS = 10
lengths = st.lists(st.integers(min_value=0, max_value=30), min_size=1, max_size=12)


def block(number: int, lines: int) -> list[Line]:
    """A heading and ``lines`` lines, each with a name of its own."""
    names = [f"h{number}", *(f"{number}.{at}" for at in range(lines))]
    return [(TextSpan(f"{name:<{CELLS}}"),) for name in names]


def words_of(lines: list[Line]) -> list[str]:
    return [word for line in lines for word in text_of(line).split()]


@given(lengths, st.integers(1, 4), st.integers(1, 25), st.booleans())
def test_every_line_is_somewhere_and_in_order(
    counts: list[int], columns: int, rows: int, splitting: bool
) -> None:
    blocks = [block(at, count) for at, count in enumerate(counts)]
    parts = fill_columns(blocks, columns, rows, splitting=splitting)
    filled = [column for part in parts for column in part]
    assert all(len(column) <= max(rows, 3) for column in filled)
    assert all(len(part) <= columns for part in parts)
    lines = [word for column in filled for word in words_of(column) if "." in word]
    assert lines == [f"{at}.{n}" for at, count in enumerate(counts) for n in range(count)]


@given(lengths, st.integers(1, 4), st.integers(3, 25), st.booleans())
def test_no_heading_stands_alone_and_no_line_without_its_heading(
    counts: list[int], columns: int, rows: int, splitting: bool
) -> None:
    blocks = [block(at, count) for at, count in enumerate(counts)]
    for part in fill_columns(blocks, columns, rows, splitting=splitting):
        for column in part:
            words = words_of(column)
            heading = ""
            for word, after in zip(words, [*words[1:], "h"], strict=True):
                if word.startswith("h"):
                    heading = word[1:]
                    assert after.startswith(f"{heading}.") or counts[int(heading)] == 0
                else:
                    assert word.partition(".")[0] == heading


@given(lengths, st.integers(1, 4), st.integers(3, 25))
def test_parts_are_as_wide_as_given_and_not_too_long(
    counts: list[int], columns: int, rows: int
) -> None:
    blocks = [block(at, count) for at, count in enumerate(counts)]
    width = columns * CELLS + 3
    parts = lay_out(blocks, columns, CELLS, rows, width)
    assert all(width_of(line) == width for part in parts for line in part)
    assert all(len(part) <= rows for part in parts)
    seen = [word for part in parts for word in words_of(part) if "." in word]
    assert sorted(seen) == sorted(f"{at}.{n}" for at, c in enumerate(counts) for n in range(c))


def test_what_fits_is_shared_out_over_the_columns() -> None:
    parts = lay_out([block(at, 3) for at in range(4)], 2, CELLS, 20, 20)
    assert [len(part) for part in parts] == [8]


def test_a_block_is_kept_whole_where_all_fits_and_broken_where_that_saves_a_part() -> None:
    blocks = [block(0, 5), block(1, 6)]
    whole = lay_out(blocks, 2, CELLS, 8, 20)
    assert next(text_of(line).split() for line in whole[0]) == ["h0", "h1"]
    three = [block(at, 4) for at in range(3)]
    assert len(fill_columns(three, 2, 9)) == 2
    assert len(lay_out(three, 2, CELLS, 9, 20)) == 1


def test_columns() -> None:
    assert columns_in(80, 38, 3) == (2, 40)
    assert columns_in(200, 38, 3) == (3, 66)
    assert columns_in(20, 38, 3) == (1, 20)
