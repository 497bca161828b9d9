"""The pages beside the board: all switches, all systems, all lamps.

What matters stays on top of each: horn, faults, where the legs are, and which lamps are lit.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelbridge.dashboard.board_view import SHORT, TALL, TINY, BoardPicture, first_lines_of
from panelbridge.dashboard.flow import lay_out
from panelbridge.dashboard.lamps import LampPlan
from panelbridge.dashboard.lit_block import lamp_page_block, leg_line, lit_lines
from panelbridge.dashboard.pages import Section
from panelbridge.dashboard.pieces import Line, blank, wrap
from panelbridge.dashboard.switch_block import ROW_WIDTH, switch_block
from panelbridge.dashboard.system_block import (
    LEAST_COLUMN,
    aircraft_block,
    command_block,
    fault_block,
    gauge_block,
    system_blocks,
)
from panelbridge.dashboard.top_block import LABEL, fault_lines
from panelbridge.engine.snapshot import Snapshot

LOG_ROWS = 3
"""So many rows stay for the log, so that what a switch does can be read beside it."""
_WIDEST_COLUMN = 48
_LEAST_BODY = 3


def draw_page(
    picture: BoardPicture, section: Section, width: int, screen_height: int
) -> list[list[Line]]:
    """Every part of a section, each with the lines that stay on top.

    Args:
        picture: what to draw.
        section: any but the board.
        width: of the screen.
        screen_height: of the whole screen.
    """
    lamps = picture.lamp_plan()
    top = _top_lines(picture, lamps, width, screen_height)
    below = (1 if screen_height >= 8 else 0) + (LOG_ROWS if screen_height >= SHORT else 0)
    room = max(screen_height - len(top) - below, _LEAST_BODY)
    parts = _DRAW[section](picture, lamps, width, room)
    longest = max(len(part) for part in parts)
    # Each part has as many lines as the longest, so that the log does not move with the pages.
    return [[*top, *part, *[blank(width)] * (longest - len(part))] for part in parts]


def _top_lines(picture: BoardPicture, lamps: LampPlan, width: int, height: int) -> list[Line]:
    snapshot = picture.snapshot
    short, tiny = height < SHORT, height < TINY
    lines = first_lines_of(picture, width, 1 if short else 2, 1 if short else 3)
    if tiny:
        return lines
    lines += fault_lines(snapshot, width, 1, 1 if short else 2, links="on page 1")
    lines.append(leg_line(snapshot.logic.legs, width))
    looks = tuple(lamps.looks.values())
    lines += lit_lines(lamps, looks, snapshot.outputs, width, 1 if short else 2)
    return [*lines, blank(width)] if height >= TALL else lines


def _switches(picture: BoardPicture, lamps: LampPlan, width: int, rows: int) -> list[list[Line]]:
    columns = 1
    if len(picture.desk.switches) + 1 > rows or width >= 2 * _WIDEST_COLUMN:
        columns = max(min(width // ROW_WIDTH, 3 if width >= 3 * _WIDEST_COLUMN else 2), 1)
    cells = width // columns
    block = switch_block(picture.desk, picture.snapshot.switches, cells, note=False)
    return lay_out([block], columns, cells, rows, width)


def _systems(picture: BoardPicture, lamps: LampPlan, width: int, rows: int) -> list[list[Line]]:
    snapshot, equipment = picture.snapshot, picture.equipment
    columns = max(min(width // LEAST_COLUMN, 3), 1)
    cells = width // columns
    blocks = [
        fault_block(snapshot, cells) if _faults_are_cut(snapshot, width) else [],
        *system_blocks(snapshot, equipment, cells),
        gauge_block(snapshot, equipment, cells),
        command_block(snapshot, equipment, cells),
        aircraft_block(snapshot, equipment, cells),
    ]
    return lay_out([block for block in blocks if block], columns, cells, rows, width)


def _faults_are_cut(snapshot: Snapshot, width: int) -> bool:
    """Whether the lines on top have no room for every fault."""
    lines = [wrap(f"X {fault}", max(width - LABEL - 1, 4)) for fault in snapshot.logic.faults]
    return sum(map(len, lines)) > 1


def _lamps(picture: BoardPicture, lamps: LampPlan, width: int, rows: int) -> list[list[Line]]:
    block, columns, cells = lamp_page_block(lamps, picture.snapshot.outputs, width, rows)
    return lay_out([block], columns, cells, rows, width)


Draw = Callable[[BoardPicture, LampPlan, int, int], list[list[Line]]]
_DRAW: Mapping[Section, Draw] = {
    Section.SWITCHES: _switches,
    Section.SYSTEMS: _systems,
    Section.LAMPS: _lamps,
}
