"""Blocks of lines in columns, and in parts where one screen does not hold them."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.pieces import Line, blank, side_by_side

Block = Sequence[Line]
"""A heading and its lines, each exactly as wide as a column. It is broken only where it must."""


def column_widths(width: int, least: int, most: int) -> list[int]:
    """Columns of at least ``least`` cells in ``width``, at most ``most`` of them; never none."""
    count = max(min(width // least, most), 1)
    return [width // count + (at < width % count) for at in range(count)]


def flow(blocks: Sequence[Block], columns: int, rows: int) -> list[list[list[Line]]]:
    """Fill columns of ``rows`` lines from the top, one after the other, and part after part.

    A block that does not fit under the one before begins the next column. One that is longer than
    a column goes on in the next, under its own heading.

    Returns:
        For each part its columns, each with its lines. Always one part at least.
    """
    rows = max(rows, 2)
    filled: list[list[Line]] = [[]]
    for block in blocks:
        rest = list(block)
        if not rest:
            continue
        if filled[-1] and len(filled[-1]) + len(rest) > rows:
            filled.append([])
        while len(rest) > rows:
            filled[-1] += rest[:rows]
            filled.append([])
            rest = [rest[0], *rest[rows:]]
        filled[-1] += rest
    return [filled[at : at + columns] for at in range(0, len(filled), columns)]


def lay_out(blocks: Sequence[Block], widths: Sequence[int], rows: int) -> list[list[Line]]:
    """Blocks beside and under each other: the lines of each part.

    Where one part holds all, its columns are about as long as each other: what is left over below
    is left for others.

    Args:
        blocks: each as wide as every column (they may differ by one cell, see ``widths``).
        widths: of the columns.
        rows: most lines of a part.
    """
    columns = len(widths)
    parts = flow(blocks, columns, rows)
    if len(parts) == 1:
        total = sum(len(block) for block in blocks)
        least = max(-(-total // columns), 2)
        parts = next(
            made
            for most in range(least, max(rows, least) + 1)
            if len(made := flow(blocks, columns, most)) == 1
        )
    return [_beside(part, widths) for part in parts]


def _beside(part: Sequence[Sequence[Line]], widths: Sequence[int]) -> list[Line]:
    filled = [*part, *([[]] * (len(widths) - len(part)))]
    if not any(filled):
        return [blank(sum(widths))]
    return side_by_side(list(zip(filled, widths, strict=True)))
