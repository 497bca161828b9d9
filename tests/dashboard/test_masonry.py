"""Blocks in columns, whole: the laws of their places."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.dashboard.text.masonry import BlockPlace, place_blocks, wide_rows

ROWS = 12


@st.composite
def blocks(draw: st.DrawFn) -> tuple[tuple[int, ...], int, int]:
    """Rows of each block, how many come first, and the columns."""
    columns = draw(st.integers(1, 5))
    longest = 1 + (ROWS - 1) * columns
    lengths = draw(st.lists(st.integers(2, longest), max_size=16))
    return tuple(lengths), draw(st.integers(0, len(lengths))), columns


def cells(place: BlockPlace) -> set[tuple[int, int, int]]:
    return {
        (place.part, column, row)
        for column in range(place.column, place.column + place.columns)
        for row in range(place.top, place.top + place.rows)
    }


@given(blocks())
def test_every_block_stands_whole_in_a_place_of_its_own(
    given_blocks: tuple[tuple[int, ...], int, int],
) -> None:
    lengths, firsts, columns = given_blocks
    places = place_blocks(lengths, firsts, columns, ROWS)
    assert [place.block for place in places] == list(range(len(lengths)))
    for place, length in zip(places, lengths, strict=True):
        assert place.rows == wide_rows(length, place.columns)
        assert 0 <= place.column <= place.column + place.columns <= columns
        assert 0 <= place.top < place.top + place.rows <= ROWS
        assert place.columns == 1 or wide_rows(length, place.columns - 1) > ROWS
    for one, other in combinations(places, 2):
        assert not cells(one) & cells(other)
    parts = {place.part for place in places}
    assert parts == set(range(len(parts)))


@given(blocks())
def test_the_first_ones_are_in_no_later_part_and_above_the_others(
    given_blocks: tuple[tuple[int, ...], int, int],
) -> None:
    lengths, firsts, columns = given_blocks
    places = place_blocks(lengths, firsts, columns, ROWS)
    for first in places[:firsts]:
        for other in places[firsts:]:
            assert first.part <= other.part
            beside = {column for _, column, _ in cells(first) & set(cells(first))}
            if first.part == other.part and beside & {column for _, column, _ in cells(other)}:
                assert first.top < other.top


@given(st.lists(st.integers(2, 8), min_size=1, max_size=12), st.integers(1, 5))
def test_columns_differ_by_no_more_than_the_longest_block(lengths: list[int], columns: int) -> None:
    places = place_blocks(tuple(lengths), 0, columns, 200)
    heights = [
        max((one.top + one.rows for one in places if one.column == column), default=0)
        for column in range(columns)
    ]
    assert max(heights) - min(heights) <= max(lengths)
