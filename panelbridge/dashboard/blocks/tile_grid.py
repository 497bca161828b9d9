"""The tiles of all lamps that belong to no leg, in rows: those of the panel file, then the rest."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.tiles import ShownLamp, rows_of, shown_lamp, tile
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, blank, fit, row
from panelbridge.signals import Outputs

LEAST_TILE = 12
"""Least width of a tile with an outline: it can be seen from two metres."""
_MOST_TILE = 30
_LEAST_LINE = 14
"""Least width of a tile of one row, which holds most legends whole."""
_HEIGHTS = (5, 4, 3)
_URGENCY = ("red", "amber", "white", "blue", "green")

Cells = Sequence[LampLook | None]
"""A row of the grid; None is a gap."""


class GridShape(Struct, frozen=True):
    """How tiles share a room.

    Attributes:
        rows: of the grid, each a list of lamps and gaps.
        width: of a tile.
        height: rows of a tile.
    """

    rows: Sequence[Cells]
    width: int
    height: int


@lru_cache(maxsize=64)
def grid_shape(
    given: tuple[tuple[LampLook | None, ...], ...],
    rest: tuple[LampLook, ...],
    width: int,
    rows: int,
) -> GridShape | None:
    """The largest tiles that fit; None when not even lines do.

    Args:
        given: rows as the panel file has them.
        rest: lamps that it does not name.
        width: of the room.
        rows: of the room.
    """
    for height in (*_HEIGHTS, 1):
        least = LEAST_TILE if height > 1 else _LEAST_LINE
        most_columns = (width + 1) // (least + 1)
        longest = max(map(len, given), default=0)
        for columns in range(max(longest, 1), max(most_columns, longest) + 1):
            if columns > most_columns:
                break
            grid = [*given, *_in_rows(rest, columns)]
            if len(grid) * height <= rows:
                tile_width = min((width + 1) // columns - 1, _MOST_TILE)
                return GridShape(grid, tile_width, height)
    return None


def _in_rows(rest: Sequence[LampLook], columns: int) -> list[Cells]:
    return [rest[at : at + columns] for at in range(0, len(rest), columns)]


def tile_grid(
    given: Sequence[Cells],
    looks: Sequence[LampLook],
    lamps: LampLayout,
    outputs: Outputs,
    width: int,
    rows: tuple[int, int, int],
) -> list[Line]:
    """The lamps ``looks``; only the lit ones where not all fit.

    Args:
        given: rows as the panel file has them.
        looks: to show.
        lamps: of the panel.
        outputs: to show.
        width: of the room.
        rows: in so many lines if the tiles can have outlines there, else in the next; lit ones
            alone take as many as the second.
    """
    named = {look.name for cells in given for look in cells if look is not None}
    rest = tuple([look for look in looks if look.name not in named])
    rows_given = tuple([tuple(cells) for cells in given])
    shapes = [shape for most in rows if (shape := grid_shape(rows_given, rest, width, most))]
    if not shapes:
        return _lit_only(looks, lamps, outputs, width, rows[1])
    shape = next((one for one in shapes if one.height > 1), shapes[0])
    lines: list[Line] = []
    for cells in shape.rows:
        shown = [look and shown_lamp(look, lamps, outputs) for look in cells]
        lines += _tile_row(tuple(shown), shape.width, shape.height, width)
    return lines


@lru_cache(maxsize=128)
def _tile_row(
    cells: tuple[ShownLamp | None, ...], tile_width: int, height: int, width: int
) -> Sequence[Line]:
    """Tiles beside each other; most are the same from drawing to drawing."""
    drawn = [
        [blank(tile_width)] * height if lamp is None else tile(lamp, tile_width, height)
        for lamp in cells
    ]
    return [row(line, width) for line in rows_of(drawn, [tile_width] * len(drawn))]


def _lit_only(
    looks: Sequence[LampLook], lamps: LampLayout, outputs: Outputs, width: int, rows: int
) -> list[Line]:
    lit = [look for look in looks if lamps.is_lit(look, outputs)]
    lit.sort(key=lambda look: _URGENCY.index(look.colour))
    shown = lit if len(lit) < rows else lit[: max(rows - 1, 0)]
    lines = [row(tile(shown_lamp(look, lamps, outputs), width, 1)[0], width) for look in shown]
    more, dark = len(lit) - len(shown), len(looks) - len(lit)
    unknown = sum(not lamps.is_known(look, outputs) for look in looks)
    text = f"{more} more lit, " if more else ""
    text += f"{unknown} lamps unknown" if unknown else f"{dark} other lamps dark"
    words = TextSpan(fit(f" {text} (key 4)", width), TextStyle.QUIET)
    return [*lines, row([words], width)][:rows]
