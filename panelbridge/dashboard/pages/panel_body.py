"""Legs at the left and the other lamps at the right: the middle of the panel page."""

from __future__ import annotations

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.leg_tiles import HANDLE, LegArea
from panelbridge.dashboard.blocks.one_leg import HUGE_LEG, LARGE_LEG, SMALL_LEG
from panelbridge.dashboard.blocks.panel_layout import lamp_rows, leg_rows
from panelbridge.dashboard.blocks.status_banners import HANDLE_LAMP
from panelbridge.dashboard.blocks.tile_grid import tile_grid
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import ClickTarget, Line, TextSpan, row, side_by_side

LARGE_WIDTH = 112
"""Least width for legs whose lamps stand beside each other."""
HUGE_WIDTH = 180
_HUGE_LEG_ROWS, _LARGE_LEG_ROWS, _LEAST_LEG_ROWS = 12, 9, 6
_SMALL_LEG_ROWS = 3
_LEAST_TILES = 14
"""Least width of the room for tiles."""


def least_leg_rows(content: ScreenContent) -> int:
    """Rows that the legs need at least."""
    return max(len(_rows_of_legs(content)) * (_SMALL_LEG_ROWS + 1) - 1, 0)


def panel_body(
    content: ScreenContent, lamps: LampLayout, width: int, rows: tuple[int, int, int]
) -> list[Line]:
    """The lines, as many as they need.

    Args:
        content: what to draw.
        lamps: of the panel.
        width: of the lines.
        rows: how many it may have when trends follow, when only the log does, when nothing does.
    """
    small, wanted, most = (max(one, 1) for one in rows)
    area = _leg_area(content, lamps, width, wanted)
    taken = area.width + 1
    left = width - taken - 3
    handle = any(HANDLE in cells for cells in area.rows)
    looks = [look for look in lamps.others if look.name != HANDLE_LAMP or not handle]
    tiles: list[Line] = []
    if looks and left >= _LEAST_TILES:
        given = lamp_rows(content.layout, lamps.looks)
        outputs = content.snapshot.outputs
        tiles = tile_grid(given, looks, lamps, outputs, left, (small, wanted, most))
    if area.large:  # as high as the tiles, and never so low that the legs would become small ones
        least = len(area.rows) * (_LEAST_LEG_ROWS + 1) - 1
        area = _leg_area(content, lamps, width, max(small, len(tiles), least))
    legs = [(TextSpan(" "), *line) for line in area.draw()]
    if not tiles:
        return [row(line, width) for line in legs][:most]
    cells = [(TextSpan("  "), *line, TextSpan(" ")) for line in tiles]
    return side_by_side([(legs, taken), (cells, left + 3)])[:most]


def _rows_of_legs(content: ScreenContent) -> list[list[str]]:
    legs = [leg.name for leg in content.snapshot.logic.legs]
    handle = any(control.name == HANDLE for control in content.switches.controls)
    return leg_rows(content.layout, legs, handle=handle)


def _leg_area(content: ScreenContent, lamps: LampLayout, width: int, rows: int) -> LegArea:
    leg_names = _rows_of_legs(content)
    count = max(len(leg_names), 1)
    each = (rows + 1) // count - 1
    widest = max((sum(name != HANDLE for name in cells) for cells in leg_names), default=0)
    large = (
        width >= LARGE_WIDTH
        and each >= _LEAST_LEG_ROWS
        and widest * (LARGE_LEG + 1) <= width - (LARGE_WIDTH // 3)
    )
    huge = large and width >= HUGE_WIDTH
    height = min(each, _HUGE_LEG_ROWS if huge else _LARGE_LEG_ROWS) if large else _SMALL_LEG_ROWS
    target = None
    position = content.switches.positions.get(HANDLE)
    if content.switches.simulated and position is not None:
        other = "up" if position == "down" else "down"
        target = ClickTarget(HANDLE, other)
    leg = HUGE_LEG if huge else LARGE_LEG if large else SMALL_LEG
    return LegArea(content.snapshot, lamps, leg_names, target, leg, height)
