"""The lines of dots of a trend: numbers of the last minute, and their limits."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from panelbridge.dashboard.blocks.time_grid import numbers_of, on_grid
from panelbridge.dashboard.history import ShownMoment
from panelbridge.dashboard.text.dots import dots_of, sign_of
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, row

_FOOT = 0x40
"""The dot of a cell at the bottom left."""


class TrendCurve(NamedTuple):
    """What of a trend its lines of dots show: not the numbers of now."""

    names: tuple[str, ...]
    scale: tuple[float, float]
    levels: tuple[float, ...]
    style: TextStyle
    has_foot: bool


@lru_cache(maxsize=128)
def draw_curve(
    curve: TrendCurve, samples: tuple[ShownMoment, ...], width: int, rows: int
) -> Sequence[Line]:
    """The lines of dots; the limits are dotted."""
    grid = on_grid(samples, 2 * width)
    curves: list[list[float | None]] = []
    for name in curve.names:
        parts = _parts(numbers_of(samples, name), curve.scale)
        curves.append([None if at is None else parts[at] for at in grid])
    drawn, dotted = dots_of(curves, width, rows), _marks(curve.levels, curve.scale, width, rows)
    return [
        _line(
            tuple(drawn[at]),
            dotted[at],
            curve.style,
            width,
            is_foot=curve.has_foot and at == rows - 1,
        )
        for at in range(rows)
    ]


def _parts(numbers: Sequence[float | None], scale: tuple[float, float]) -> Sequence[float | None]:
    """Numbers as parts of a scale."""
    low, high = scale
    return [None if number is None else (number - low) / (high - low) for number in numbers]


@lru_cache(maxsize=128)
def _marks(
    levels: tuple[float, ...], scale: tuple[float, float], width: int, rows: int
) -> Sequence[tuple[int, ...]]:
    """The dots of limits: the same as long as the scale is."""
    low, high = scale
    parts = _parts([level for level in levels if low <= level <= high], scale)
    marks = [[part if x % 4 == 0 else None for x in range(2 * width)] for part in parts]
    return [tuple(bits) for bits in dots_of(marks, width, rows)]


@lru_cache(maxsize=512)
def _line(
    drawn: tuple[int, ...], dotted: tuple[int, ...], style: TextStyle, width: int, *, is_foot: bool
) -> Line:
    """A line of cells from their dots; the foot of a scale is dotted too.

    Most rows of a scale have no curve.
    """
    foot = _FOOT if is_foot else 0
    signs = [sign_of(curve | mark | foot) for curve, mark in zip(drawn, dotted, strict=True)]
    spans: list[TextSpan] = []
    begin, before = 0, TextStyle.EDGE
    for at, (curve, mark) in enumerate(zip(drawn, dotted, strict=True)):
        found = style if curve else TextStyle.STATUS if mark else TextStyle.EDGE
        if found is not before and signs[at] != " ":
            if at:
                spans.append(TextSpan("".join(signs[begin:at]), before))
            begin, before = at, found
    spans.append(TextSpan("".join(signs[begin:]), before))
    return row(spans, width)
