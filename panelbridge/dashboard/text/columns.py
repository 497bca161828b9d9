"""Lays out blocks of lines in columns, and in parts where one screen does not hold them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.text.lines import Line, row, side_by_side

_LEAST = 3
"""A block is split only where its heading and two lines fit."""
Block = Sequence[Line]
"""A heading and its lines, each exactly as wide as a column."""


def columns_in(width: int, least: int, most: int) -> tuple[int, int]:
    """How many columns of at least ``least`` cells fit in ``width``, and how wide each is."""
    count = max(min(width // least, most), 1)
    return count, width // count


def fill_columns(
    blocks: Sequence[Block], columns: int, rows: int, *, splitting: bool = False
) -> list[list[list[Line]]]:
    """Fill columns from the top, one after the other, and part after part.

    A split block continues in the next column under its heading, which is its first line.

    Args:
        blocks: to lay out.
        columns: of a part.
        rows: of a column; less than 3 count as 3.
        splitting: split any block that does not fit below the one before; otherwise only one that
            is longer than a column.

    Returns:
        The parts (at least one), each a list of columns, each a list of lines.
    """
    rows = max(rows, _LEAST)
    filled: list[list[Line]] = [[]]
    for block in blocks:
        rest = list(block)
        while rest:
            room = rows - len(filled[-1])
            if len(rest) <= room:
                filled[-1] += rest
                break
            if room >= _LEAST and (splitting or room == rows):
                filled[-1] += rest[:room]
                rest = [rest[0], *rest[room:]]
            filled.append([])
    return [filled[at : at + columns] for at in range(0, len(filled), columns)]


def lay_out(
    blocks: Sequence[Block], columns: int, cells: int, rows: int, width: int
) -> list[list[Line]]:
    """Blocks beside and below each other: the lines of each part.

    If one part holds them all, its columns are made about equally long, so that the rows that are
    left over stand together at the bottom.

    Args:
        blocks: of lines of ``cells`` cells.
        columns: side by side.
        cells: width of a column.
        rows: of a part, at most.
        width: of the returned lines.
    """
    parts = fill_columns(blocks, columns, rows)
    if len(parts) > 1:
        parts = fill_columns(blocks, columns, rows, splitting=True)
    if len(parts) == 1:
        least = max(-(-sum(len(block) for block in blocks) // columns), _LEAST)
        parts = next(
            made
            for most in range(least, max(rows, least) + 1)
            for splitting in (False, True)
            if len(made := fill_columns(blocks, columns, most, splitting=splitting)) == 1
        )
    return [
        [row(line, width) for line in side_by_side([(lines, cells) for lines in part])]
        for part in parts
    ]
