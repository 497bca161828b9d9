"""The board's whole picture as lines: a pure function of the snapshot and the size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from panelbridge.dashboard.flight_block import flight_block, lamp_block, lamp_rows
from panelbridge.dashboard.lamps import LampPlan, plan_lamps
from panelbridge.dashboard.leg_block import leg_block
from panelbridge.dashboard.pieces import Line, Look, Piece, Target, blank, row, side_by_side
from panelbridge.dashboard.ports import HornLook, LampLook
from panelbridge.dashboard.switch_block import SwitchDesk, switch_block
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
    """

    snapshot: Snapshot = field(default_factory=Snapshot)
    title: str = ""
    desk: SwitchDesk = field(default_factory=SwitchDesk)
    lamp_looks: Sequence[LampLook] = ()
    horn: HornLook = field(default_factory=HornLook)
    full_scale_psi: float = 4000.0


def draw_board(picture: BoardPicture, width: int, screen_height: int) -> list[Line]:
    """Every line of the board's picture, each exactly ``width`` cells.

    Args:
        picture: what to draw.
        width: of the screen.
        screen_height: of the whole screen; a tall one gets air between the sections.
    """
    snapshot = picture.snapshot
    lamps = plan_lamps(
        picture.lamp_looks,
        snapshot.outputs.lamps,
        [leg.name for leg in snapshot.logic.legs],
        live_boards(snapshot),
    )
    tall = screen_height >= TALL
    air = [blank(width)] if tall else []
    short, tiny = screen_height < SHORT, screen_height < TINY
    lines = draw_first_lines(picture, width, 1 if short else 2, 1 if tiny else 2 if short else 4)
    if snapshot.logic.faults or not tiny:
        lines += fault_lines(snapshot, width, 1, 1 if short else MOST_FAULT_LINES)
    lines += air
    lines += leg_block(snapshot.logic.legs, snapshot.outputs, lamps, width, titled=not tiny)
    if width < WIDE:
        lines += lamp_rows(lamps, snapshot.outputs, width)
    lines += air
    lines += _lower_part(picture, lamps, width)
    return lines + air


def draw_first_lines(picture: BoardPicture, width: int, least: int, most: int) -> list[Line]:
    """The header and the horn in ``least`` to ``most`` lines: they stay over an enlarged log."""
    lines = [header(picture.snapshot, picture.title, width)]
    return lines + horn_lines(picture.snapshot, picture.horn, width, least, most)


def _lower_part(picture: BoardPicture, lamps: LampPlan, width: int) -> list[Line]:
    snapshot, full = picture.snapshot, picture.full_scale_psi

    def switches(cells: int) -> tuple[list[Line], int]:
        return switch_block(picture.desk, snapshot.switches, cells), cells

    def flight(cells: int) -> tuple[list[Line], int]:
        return flight_block(snapshot, full, cells), cells

    def others(cells: int) -> tuple[list[Line], int]:
        return lamp_block(lamps, snapshot.outputs, cells), cells

    if width >= WIDE:
        third = width // 3
        return side_by_side([switches(third + 2), flight(third + 2), others(width - 2 * third - 4)])
    if width >= PAIRED:
        left = width // 2 if width >= 78 else width - 29
        return side_by_side([switches(left), flight(width - left)])
    return switches(width)[0] + flight(width)[0]


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
