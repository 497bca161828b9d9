"""Lines of dots: a curve in braille cells, two dots wide and four high each."""

from __future__ import annotations

from collections.abc import Sequence

_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
"""Bits of a braille cell, by column and by row from the top (Unicode 16.0, 21.1)."""
_EMPTY = 0x2800


def dots_of(curves: Sequence[Sequence[float | None]], width: int, rows: int) -> list[list[int]]:
    """The bits of each cell, row by row; what is unknown has no dot.

    Args:
        curves: each a value from 0 (bottom) to 1 (top) for every column of dots, 2 * ``width``.
        width: cells.
        rows: of cells.
    """
    cells = [[0] * width for _ in range(rows)]
    most = rows * 4 - 1
    for curve in curves:
        for x, value in enumerate(curve[: 2 * width]):
            if value is not None:
                within = 0.0 if value < 0.0 else 1.0 if value > 1.0 else value
                y = most - round(within * most)
                cells[y // 4][x // 2] |= _DOTS[x % 2][y % 4]
    return cells


def sign_of(bits: int) -> str:
    """The cell with these dots; a space when it has none."""
    return chr(_EMPTY + bits) if bits else " "
