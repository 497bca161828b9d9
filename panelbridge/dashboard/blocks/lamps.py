"""Lamps in columns and rows: those that have no place in a leg's row, or all of the panel."""

from __future__ import annotations

from panelbridge.dashboard.blocks.flight import LABEL_WIDTH
from panelbridge.dashboard.blocks.lamp_cells import DARK_WIDTH, LIT_WIDTH, LampLayout, name_width
from panelbridge.dashboard.text.columns import Block, columns_in
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, heading, quiet_row, row
from panelbridge.dashboard.text.state_words import MISSING
from panelbridge.signals import Outputs

_LONGEST_NAME = 24
_MOST_COLUMNS = 6
_NONE_FITTED = f"{MISSING} none fitted"


def other_lamps_column(lamps: LampLayout, outputs: Outputs, width: int, rows: int) -> list[Line]:
    """The lamps of no leg in one column under a heading; only the lit ones if ``rows`` are few."""
    cells = width - 2
    shown = lamps.others
    title, rest = "Other lamps", ""
    if len(shown) + 1 > rows:
        title = "Other lamps that are lit"
        lit = [look for look in shown if lamps.is_lit(look, outputs)]
        shown = tuple(lit[: rows - 2])
        more = len(lit) - len(shown)
        others = len(lamps.others) - len(lit)
        rest = f"▼ {f'{more} more lit' if more else f'{others} others'} on page 4"
    name = name_width(map(lamps.label, lamps.others), cells - 4)
    lines = [heading([(title, 13)], width)]
    for look in shown:
        lines.append(row([TextSpan(" "), *lamps.named_cell(look, outputs, name, cells)], width))
    remark = rest if lamps.others else _NONE_FITTED
    return [*lines, quiet_row(remark, width)] if remark else lines


def other_lamps_rows(lamps: LampLayout, outputs: Outputs, width: int) -> list[Line]:
    """The lamps of no leg in rows after a label, for screens with few lines."""
    room = width - LABEL_WIDTH + 1
    state = LIT_WIDTH if width >= 70 else DARK_WIDTH
    name = name_width(map(lamps.label, lamps.others), min(room, 34))
    cell = name + state + 2
    across = max(room // cell, 1)
    lines: list[Line] = []
    for at in range(0, len(lamps.others), across):
        line = [TextSpan(fit("" if at else " Lamps", LABEL_WIDTH - 1), TextStyle.HEADING)]
        for look in lamps.others[at : at + across]:
            line += row(lamps.named_cell(look, outputs, name, cell - 2), cell)
        lines.append(row(line, width))
    return lines


def all_lamps_block(
    lamps: LampLayout, outputs: Outputs, width: int, rows: int
) -> tuple[Block, int, int]:
    """Every lamp of the panel: the block, its number of columns, and their width.

    If ``rows`` do not hold them all with their brightness, there are more columns without it.
    """
    looks = tuple(lamps.looks.values())
    names = [lamps.label(look) for look in looks]
    named = min(max(map(len, names), default=0), _LONGEST_NAME) + 3
    state = LIT_WIDTH
    columns, cells = columns_in(width, named + state, _MOST_COLUMNS)
    if columns * (rows - 1) < len(looks):
        state = DARK_WIDTH
        columns, cells = columns_in(width, named + state, _MOST_COLUMNS)
    name = min(name_width(names, cells - 2), cells - 1 - state)
    lines: list[Line] = [heading([("Lamps", 8)], cells)]
    for look in looks:
        lines.append(row([TextSpan(" "), *lamps.named_cell(look, outputs, name, cells - 1)], cells))
    if not looks:
        lines.append(quiet_row(_NONE_FITTED, cells))
    return lines, columns, cells
