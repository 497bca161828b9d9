"""The overview: legs, lamps, switches and the aircraft at a glance."""

from __future__ import annotations

from panelbridge.dashboard.blocks.flight import flight_block
from panelbridge.dashboard.blocks.header import fault_lines
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.lamps import other_lamps_column, other_lamps_rows
from panelbridge.dashboard.blocks.legs import leg_block
from panelbridge.dashboard.blocks.summary import lit_lines
from panelbridge.dashboard.blocks.switch_rows import switch_block
from panelbridge.dashboard.blocks.systems import gauge_block
from panelbridge.dashboard.pages.screen_content import SHORT, TALL, TINY, ScreenContent, first_lines
from panelbridge.dashboard.text.lines import Line, blank, cut, side_by_side

_THREE_COLUMNS = 112
_TWO_COLUMNS = 56
_MOST_FAULT_LINES = 4
_LAMP_ROWS = 2
"""With more rows of lamps, only the lit ones are shown; page 4 has all of them."""
_LEAST_ROWS = 7
"""Minimum rows for switches and aircraft: those of a small panel."""
_LEAST_SWITCH_ROWS = 4


def draw_overview_page(content: ScreenContent, width: int, screen_height: int) -> list[Line]:
    """Every line of the page, each exactly ``width`` cells.

    Args:
        content: what to draw.
        width: of the screen.
        screen_height: of the whole screen.
    """
    snapshot, lamps = content.snapshot, content.lamp_layout()
    tall, short, tiny = screen_height >= TALL, screen_height < SHORT, screen_height < TINY
    space = [blank(width)] if tall else []
    lines = first_lines(content, width, 1 if short else 2, 1 if tiny else 2 if short else 4)
    if snapshot.logic.faults or not tiny:
        lines += fault_lines(snapshot, width, 1 if short else _MOST_FAULT_LINES)
    lines += space
    lines += leg_block(snapshot.logic.legs, snapshot.outputs, lamps, width, titled=not tiny)
    if width < _THREE_COLUMNS:
        rows = other_lamps_rows(lamps, snapshot.outputs, width)
        if len(rows) > _LAMP_ROWS:
            most = 1 if short else _LAMP_ROWS
            rows = lit_lines(lamps, lamps.others, snapshot.outputs, width, most)
        lines += rows
    lines += space
    # Below are the links, some lines of the log, and the key line.
    feed = bool(snapshot.feed.way) + len(snapshot.feed.targets)
    below = len(snapshot.boards) + feed + (10 if tall else 5)
    lines += _lower_part(content, lamps, width, screen_height - len(lines) - below)
    return lines + space


def _lower_part(content: ScreenContent, lamps: LampLayout, width: int, room: int) -> list[Line]:
    snapshot, equipment = content.snapshot, content.equipment
    rows = max(room, _LEAST_ROWS)

    def switches(cells: int, rows: int) -> tuple[list[Line], int]:
        lines = switch_block(content.switches, snapshot.switches, cells)
        return cut(lines, cells, rows, "on page 2"), cells

    def flight(cells: int) -> tuple[list[Line], int]:
        lines = flight_block(snapshot, content.full_scale_psi, cells, equipment)
        gauges = gauge_block(snapshot, equipment, cells)
        if len(lines) + len(gauges) <= rows:
            lines += gauges
        return lines, cells

    if width >= _THREE_COLUMNS:
        third = width // 3 + 2
        last = width - 2 * third
        others = other_lamps_column(lamps, snapshot.outputs, last, rows)
        return side_by_side([switches(third, rows), flight(third), (others, last)])
    if width >= _TWO_COLUMNS:
        left = width // 2 if width >= 78 else width - 29
        return side_by_side([switches(left, rows), flight(width - left)])
    aircraft, _ = flight(width)
    return switches(width, max(room - len(aircraft), _LEAST_SWITCH_ROWS))[0] + aircraft
