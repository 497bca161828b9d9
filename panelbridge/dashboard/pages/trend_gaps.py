"""What is drawn in the free rows of the systems page: trends of the numbers of its sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from panelbridge.dashboard.blocks.trends import LEAST_ROWS
from panelbridge.dashboard.interfaces import Equipment, ValueLook
from panelbridge.dashboard.text.masonry import BlockPlace

_TREND_ROWS = 8
"""Rows of a trend, about, its title among them."""


def parts_in(places: Sequence[BlockPlace]) -> int:
    """How many parts they fill."""
    return max((place.part for place in places), default=0) + 1


def by_part(places: Sequence[BlockPlace]) -> list[list[BlockPlace]]:
    """The places of each part."""
    return [[place for place in places if place.part == part] for part in range(parts_in(places))]


class TrendGap(Struct, frozen=True):
    """Free rows of a column, with the numbers that are drawn there."""

    part: int
    column: int
    top: int
    rows: int
    looks: list[ValueLook]


@lru_cache(maxsize=16)
def filled_gaps(
    block_titles: tuple[str, ...],
    places: tuple[BlockPlace, ...],
    equipment: Equipment,
    columns: int,
    rows: int,
) -> Sequence[TrendGap]:
    """What is drawn where a column is free: its own sections' numbers, then those of others.

    A number is drawn at most once a part.
    """
    found: list[TrendGap] = []
    pool = [look for looks in equipment.trends.values() for look in looks]
    pool += [look for title in equipment.systems for look in _drawable(title, equipment)]
    for part, placed in enumerate(by_part(places)):
        gaps: list[TrendGap] = []
        sources: list[list[ValueLook]] = []
        for column in range(columns):
            inside = [one for one in placed if one.column <= column < one.column + one.columns]
            titles = [block_titles[one.block] for one in inside]
            own = [look for title in titles for look in _drawable(title, equipment)]
            for top, free in _free_runs(inside, rows):
                gaps.append(TrendGap(part, column, top, free, []))
                sources.append([*own, *pool])
        drawn: set[str] = set()
        # One after the other, so that a column with many numbers leaves some for the others.
        for turn in range(rows):
            for gap, source in zip(gaps, sources, strict=True):
                left = [one for one in source if one.name not in drawn]
                if left and max(round(gap.rows / _TREND_ROWS), 1) > turn:
                    gap.looks.append(left[0])
                    drawn.add(left[0].name)
        found += gaps
    return found


def _free_runs(inside: Sequence[BlockPlace], rows: int) -> Iterator[tuple[int, int]]:
    """First row and length of each run of free rows that holds a trend."""
    at = 0
    for top, high in [*sorted((one.top, one.rows) for one in inside), (rows, 0)]:
        if top - at >= LEAST_ROWS:
            yield at, top - at
        at = max(at, top + high)


def _drawable(title: str, equipment: Equipment) -> list[ValueLook]:
    """The numbers of a section that can be drawn; those with limits first."""
    looks = [
        *equipment.trends.get(title, ()),
        *(one for one in equipment.systems.get(title, ()) if one.form == "number" and one.unit),
    ]
    return sorted(looks, key=lambda look: look.name not in equipment.limits)
