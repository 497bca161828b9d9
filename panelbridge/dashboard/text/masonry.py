"""Places blocks whole in columns, part after part: each as high up as there is room.

So the tops of the columns hold the first blocks, and columns differ in length by no more than the
longest block. A block that is longer than a column takes several beside each other.
"""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct


class BlockPlace(Struct, frozen=True):
    """Where a block stands.

    Attributes:
        block: its number.
        part: from 0.
        column: its first one, from 0.
        columns: how many it takes.
        top: its first row.
        rows: how many it takes.
    """

    block: int
    part: int
    column: int
    columns: int
    top: int
    rows: int


def wide_rows(rows: int, columns: int) -> int:
    """Rows of a block of a heading and ``rows`` - 1 lines, over so many columns."""
    return 1 + -(-(rows - 1) // columns)


@lru_cache(maxsize=16)
def place_blocks(blocks: tuple[int, ...], firsts: int, columns: int, rows: int) -> list[BlockPlace]:
    """A place for each block, in their order.

    Args:
        blocks: rows of each, its heading among them; over all columns none is longer than ``rows``.
        firsts: so many of them come first: no other block stands in an earlier part than one of
            them, nor above one of them in its column.
        columns: of a part.
        rows: of a column.
    """
    parts: list[_TakenRows] = []
    least_part = 0
    places: list[BlockPlace] = []
    for at, length in enumerate(blocks):
        wide = next((n for n in range(1, columns) if wide_rows(length, n) <= rows), columns)
        high = wide_rows(length, wide)
        part, found = least_part, None
        while found is None:
            if part == len(parts):
                parts.append(_TakenRows(columns, rows))
            found = parts[part].take(wide, high, is_first=at < firsts)
            part += 1
        top, column = found
        places.append(BlockPlace(at, part - 1, column, wide, top, high))
        if at < firsts:
            least_part = part - 1
    return places


class _TakenRows:
    """The rows of a part that are taken."""

    def __init__(self, columns: int, rows: int) -> None:
        self._columns, self._rows = columns, rows
        self._taken = [[False] * rows for _ in range(columns)]
        self._begins = [0] * columns
        """The first row in each column for blocks that are none of the first."""

    def take(self, wide: int, high: int, *, is_first: bool) -> tuple[int, int] | None:
        """Take the highest place for a block: its row and column; None when there is none."""
        for top in range(self._rows - high + 1):
            for column in range(self._columns - wide + 1):
                span = range(column, column + wide)
                if not is_first and any(top < self._begins[one] for one in span):
                    continue
                if any(any(self._taken[one][top : top + high]) for one in span):
                    continue
                for one in span:
                    self._taken[one][top : top + high] = [True] * high
                    if is_first:
                        self._begins[one] = max(self._begins[one], top + high)
                return top, column
        return None
