"""The board's whole picture as lines: a pure function of the snapshot and the size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from panelbridge.dashboard.equipment import Equipment
from panelbridge.dashboard.flight_block import flight_block, lamp_block, lamp_rows
from panelbridge.dashboard.lamps import LampPlan, plan_lamps
from panelbridge.dashboard.leg_block import leg_block
from panelbridge.dashboard.lit_block import lit_lines
from panelbridge.dashboard.pieces import Line, Look, Piece, Target, blank, row, side_by_side
from panelbridge.dashboard.ports import HornLook, LampLook
from panelbridge.dashboard.switch_block import SwitchDesk, switch_block
from panelbridge.dashboard.system_block import gauge_block
from panelbridge.dashboard.top_block import fault_lines, header, horn_lines, live_boards
from panelbridge.engine.snapshot import Snapshot

WIDE = 112
PAIRED = 56
"""From here on switches and aircraft stand side by side."""
TALL = 32
"""From so many rows on there is air between the sections."""
SHORT = 22
"""Below so many rows the horn has one line, and two when it sounds for a long reason."""
TINY = 12
"""Below so many rows headings and empty lines are left out."""
MOST_FAULT_LINES = 4
_LAMP_ROWS = 2
"""More rows of lamps than these give way to the lit ones alone; page 4 has them all."""
_LEAST_ROWS = 7
"""Switches and aircraft get so many rows in any case: those of a small panel."""
_FEWEST_ROWS = 4
"""So many rows of switches stand in any case over the aircraft's."""


@dataclass(frozen=True, slots=True)
class BoardPicture:
    """Everything that the board's picture is drawn from.

    Attributes:
        snapshot: of the engine.
        title: the run's title.
        desk: the switches as the screen offers them.
        lamp_looks: looks of the panel's lamps; empty: every lamp of the outputs is shown.
        horn: what is known of the horn.
        full_scale_psi: top of the pressure bar.
        equipment: what aircraft and panel have.
    """

    snapshot: Snapshot = field(default_factory=Snapshot)
    title: str = ""
    desk: SwitchDesk = field(default_factory=SwitchDesk)
    lamp_looks: Sequence[LampLook] = ()
    horn: HornLook = field(default_factory=HornLook)
    full_scale_psi: float = 4000.0
    equipment: Equipment = field(default_factory=Equipment)

    def lamp_plan(self) -> LampPlan:
        """Which lamp stands where."""
        snapshot = self.snapshot
        legs = [leg.name for leg in snapshot.logic.legs]
        return plan_lamps(self.lamp_looks, snapshot.outputs.lamps, legs, live_boards(snapshot))


def draw_board(picture: BoardPicture, width: int, screen_height: int) -> list[Line]:
    """Every line of the board's picture, each exactly ``width`` cells.

    Args:
        picture: what to draw.
        width: of the screen.
        screen_height: of the whole screen; a tall one gets air between the sections.
    """
    snapshot, lamps = picture.snapshot, picture.lamp_plan()
    tall = screen_height >= TALL
    air = [blank(width)] if tall else []
    short, tiny = screen_height < SHORT, screen_height < TINY
    lines = first_lines_of(picture, width, 1 if short else 2, 1 if tiny else 2 if short else 4)
    if snapshot.logic.faults or not tiny:
        lines += fault_lines(snapshot, width, 1, 1 if short else MOST_FAULT_LINES)
    lines += air
    lines += leg_block(snapshot.logic.legs, snapshot.outputs, lamps, width, titled=not tiny)
    if width < WIDE:
        rows = lamp_rows(lamps, snapshot.outputs, width)
        if len(rows) > _LAMP_ROWS:
            most = 1 if short else _LAMP_ROWS
            rows = lit_lines(lamps, lamps.others, snapshot.outputs, width, most)
        lines += rows
    lines += air
    # Below stand the links, some lines of the log, and the keys.
    below = len(snapshot.boards) + (10 if tall else 5)
    lines += _lower_part(picture, lamps, width, screen_height - len(lines) - below)
    return lines + air


def first_lines_of(picture: BoardPicture, width: int, least: int, most: int) -> list[Line]:
    """The header and the horn in ``least`` to ``most`` lines: they stay over an enlarged log."""
    lines = [header(picture.snapshot, picture.title, width)]
    return lines + horn_lines(picture.snapshot, picture.horn, width, least, most)


def _lower_part(picture: BoardPicture, lamps: LampPlan, width: int, room: int) -> list[Line]:
    snapshot, full, equipment = picture.snapshot, picture.full_scale_psi, picture.equipment
    rows = max(room, _LEAST_ROWS)

    def switches(cells: int, rows: int) -> tuple[list[Line], int]:
        lines = switch_block(picture.desk, snapshot.switches, cells)
        return _first(lines, cells, rows, "on page 2"), cells

    def flight(cells: int) -> tuple[list[Line], int]:
        lines = flight_block(snapshot, full, cells, equipment)
        gauges = gauge_block(snapshot, equipment, cells)
        if len(lines) + len(gauges) <= rows:
            lines += gauges
        return lines, cells

    def others(cells: int) -> tuple[list[Line], int]:
        return lamp_block(lamps, snapshot.outputs, cells, rows), cells

    if width >= WIDE:
        third = width // 3
        last = width - 2 * third - 4
        return side_by_side([switches(third + 2, rows), flight(third + 2), others(last)])
    if width >= PAIRED:
        left = width // 2 if width >= 78 else width - 29
        return side_by_side([switches(left, rows), flight(width - left)])
    aircraft = flight(width)[0]
    return switches(width, max(room - len(aircraft), _FEWEST_ROWS))[0] + aircraft


def _first(lines: list[Line], width: int, rows: int, where: str) -> list[Line]:
    """``lines``, or so many of them that ``rows`` hold with a word on where the others are."""
    if len(lines) <= rows:
        return lines
    words = f" {DOWN_SIGN} {len(lines) - rows + 1} more {where}"
    return [*lines[: rows - 1], row([Piece(words, Look.QUIET)], width)]


def cut(lines: Sequence[Line], width: int, rows: int) -> list[Line]:
    """The first ``rows`` lines; the last one says so when there are more."""
    if len(lines) <= rows:
        return list(lines)
    if rows < 6:
        return list(lines[:rows])
    words = f"{DOWN_SIGN} {len(lines) - rows + 1} more lines: make the window taller"
    return [*lines[: rows - 1], row([Piece(f" {words}", Look.QUIET)], width)]


DOWN_SIGN = "▼"


def target_at(lines: Sequence[Line], x: int, y: int) -> Target | None:
    """What stands at column ``x`` of line ``y`` to be moved; None when nothing does."""
    if not 0 <= y < len(lines):
        return None
    from rich.cells import cell_len

    left = 0
    for piece in lines[y]:
        left += cell_len(piece.text)
        if x < left:
            return piece.target
    return None
