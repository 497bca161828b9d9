"""Blocks of lines in columns, and in parts where one screen does not hold them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.pieces import Line, row, side_by_side

_LEAST = 3
"""A block is not broken for less than its heading and two lines."""
Block = Sequence[Line]
"""A heading and its lines, each exactly as wide as a column. It is broken only where it must."""


def columns_in(width: int, least: int, most: int) -> tuple[int, int]:
    """How many columns of at least ``least`` cells stand in ``width``, and how wide each is."""
    count = max(min(width // least, most), 1)
    return count, width // count


def flow(
    blocks: Sequence[Block], columns: int, rows: int, *, breaking: bool = False
) -> list[list[list[Line]]]:
    """Fill columns of ``rows`` lines from the top, one after the other, and part after part.

    A block that is broken goes on in the next column under its own heading, which is its first
    line.

    Args:
        blocks: to lay out.
        columns: of a part.
        rows: of a column; less than 3 count as 3.
        breaking: a block that does not fit under the one before is broken, where some lines of it
            do; else only one that is longer than a column.

    Returns:
        For each part its columns, each with its lines. Always one part at least.
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
            broken = room >= _LEAST and (breaking or room == rows)
            if broken:
                filled[-1] += rest[:room]
                rest = [rest[0], *rest[room:]]
            filled.append([])
    return [filled[at : at + columns] for at in range(0, len(filled), columns)]


def lay_out(
    blocks: Sequence[Block], columns: int, cells: int, rows: int, width: int
) -> list[list[Line]]:
    """Blocks beside and under each other: the lines of each part.

    Where one part holds all, its columns are about as long as each other: what is left over below
    is left for others.

    Args:
        blocks: of lines of ``cells`` cells.
        columns: how many stand side by side.
        cells: width of a column.
        rows: most lines of a part.
        width: of the lines that come out.
    """
    parts = flow(blocks, columns, rows)
    if len(parts) > 1:
        parts = flow(blocks, columns, rows, breaking=True)
    if len(parts) == 1:
        least = max(-(-sum(len(block) for block in blocks) // columns), _LEAST)
        parts = next(
            made
            for most in range(least, max(rows, least) + 1)
            for breaking in (False, True)
            if len(made := flow(blocks, columns, most, breaking=breaking)) == 1
        )
    return [
        [row(line, width) for line in side_by_side([(lines, cells) for lines in part])]
        for part in parts
    ]
