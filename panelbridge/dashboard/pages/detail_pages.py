"""Pages 2 to 4: all switches, all systems, all lamps.

Each begins with horn, faults, legs and lit lamps.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelbridge.dashboard.blocks.header import fault_lines
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.lamps import all_lamps_block
from panelbridge.dashboard.blocks.summary import leg_line, lit_lines
from panelbridge.dashboard.blocks.switch_rows import ROW_WIDTH, switch_block
from panelbridge.dashboard.pages.lazy_parts import LazyParts, parts_of
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import SHORT, TALL, TINY, ScreenContent, first_lines
from panelbridge.dashboard.pages.systems_page import draw_systems
from panelbridge.dashboard.text.columns import columns_in, lay_out
from panelbridge.dashboard.text.lines import Line, blank

_LOG_ROWS = 3
"""Rows kept for the log, so that the effect of a switch can be read there."""
_WIDEST_COLUMN = 48
_LEAST_BODY = 3


def draw_detail_page(
    content: ScreenContent, section: Section, width: int, screen_height: int
) -> LazyParts:
    """Every part of a section, each with the lines at the top.

    Args:
        content: what to draw.
        section: any except the board.
        width: of the screen.
        screen_height: of the whole screen.
    """
    lamps = content.lamp_layout()
    top = _top_lines(content, lamps, width, screen_height)
    below = (1 if screen_height >= 8 else 0) + (_LOG_ROWS if screen_height >= SHORT else 0)
    room = max(screen_height - len(top) - below, _LEAST_BODY)
    parts = _DRAW[section](content, lamps, width, room)

    def draw(at: int) -> list[Line]:
        part = parts[at]
        # All parts are equally long, so that the log does not move when pages are turned.
        return [*top, *part, *[blank(width)] * (parts.rows - len(part))]

    return LazyParts(len(parts), len(top) + parts.rows, draw)


def _top_lines(content: ScreenContent, lamps: LampLayout, width: int, height: int) -> list[Line]:
    snapshot = content.snapshot
    most = 1 if height < SHORT else 2
    lines = first_lines(content, width, most, 1 if height < SHORT else 3)
    if height < TINY:
        return lines
    lines += fault_lines(snapshot, width, most, links="on page 5")
    lines.append(leg_line(snapshot.logic.legs, width))
    lines += lit_lines(lamps, tuple(lamps.looks.values()), snapshot.outputs, width, most)
    return [*lines, blank(width)] if height >= TALL else lines


def _switches(content: ScreenContent, lamps: LampLayout, width: int, rows: int) -> LazyParts:
    columns = 1
    if len(content.switches.controls) + 1 > rows or width >= 2 * _WIDEST_COLUMN:
        columns, _ = columns_in(width, ROW_WIDTH, 3 if width >= 3 * _WIDEST_COLUMN else 2)
    cells = width // columns
    block = switch_block(content.switches, content.snapshot.switches, cells, note=False)
    return parts_of(lay_out([block], columns, cells, rows, width))


def _systems(content: ScreenContent, lamps: LampLayout, width: int, rows: int) -> LazyParts:
    return draw_systems(content, width, rows)


def _lamps(content: ScreenContent, lamps: LampLayout, width: int, rows: int) -> LazyParts:
    block, columns, cells = all_lamps_block(lamps, content.snapshot.outputs, width, rows)
    return parts_of(lay_out([block], columns, cells, rows, width))


_DRAW: Mapping[Section, Callable[[ScreenContent, LampLayout, int, int], LazyParts]] = {
    Section.SWITCHES: _switches,
    Section.SYSTEMS: _systems,
    Section.LAMPS: _lamps,
}
