"""The parts of a section of pages; only the one that is shown is drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import overload

from panelbridge.dashboard.text.lines import Line


class LazyParts(Sequence[list[Line]]):
    """Parts that are drawn when they are looked at.

    Args:
        count: of the parts.
        rows: lines of the longest one.
        draw: draws the part of an index.
    """

    def __init__(self, count: int, rows: int, draw: Callable[[int], list[Line]]) -> None:
        self.rows = rows
        self._count = count
        self._draw = draw

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, at: int) -> list[Line]: ...

    @overload
    def __getitem__(self, at: slice) -> list[list[Line]]: ...

    def __getitem__(self, at: int | slice) -> list[Line] | list[list[Line]]:
        wanted = range(self._count)[at]
        return (
            self._draw(wanted) if isinstance(wanted, int) else [self._draw(one) for one in wanted]
        )


def parts_of(drawn: Sequence[list[Line]]) -> LazyParts:
    """Parts that are there already."""
    return LazyParts(len(drawn), max(map(len, drawn)), lambda at: drawn[at])
