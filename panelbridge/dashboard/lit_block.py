"""What is lit, and where the legs are, in a line or two: for pages that have no room for more."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from panelbridge.dashboard.flow import Block, columns_in
from panelbridge.dashboard.lamps import LampPlan, lamp_cell, name_width
from panelbridge.dashboard.pieces import Line, Look, Piece, fit, heading, row, width_of
from panelbridge.dashboard.ports import LampLook
from panelbridge.dashboard.top_block import LABEL
from panelbridge.dashboard.words import CONTRADICTORY, LEG_WORDS, MISSING, OFF, ON, UNKNOWN
from panelbridge.signals import LegView, Outputs

LONGEST_NAME = 24
MOST_COLUMNS = 6
_STATE = len("● LIT 100%")
_SHORT_STATE = len("● LIT") + 1


def lit_lines(
    lamps: LampPlan, looks: Sequence[LampLook], outputs: Outputs, width: int, most: int
) -> list[Line]:
    """The lamps among ``looks`` that shine, in exactly ``most`` lines; the rest is counted.

    A lamp of which nothing is known, because its board is away, is counted apart.
    """
    shining = [look for look in looks if lamps.shines(look, outputs)]
    unknown = sum(not lamps.is_known(look, outputs) for look in looks)
    texts = [
        Piece(f"{ON} {lamps.label(look)}  ", lamp_cell(look, outputs.lamps[look.name], 6).look)
        for look in shining
    ]
    if not shining:
        texts.append(Piece(f"{OFF} none lit  " if unknown < len(looks) else "", Look.QUIET))
    end = f"{UNKNOWN} {unknown} unknown" if unknown else ""
    done: list[list[Piece]] = [[]]
    for at, piece in enumerate(texts):
        more = f"+{len(texts) - at} more  "
        # In the last line there stays room for what has to be told at its end.
        kept = cell_len(end) + (cell_len(more) if at < len(texts) - 1 else 0)
        if _used(done) + cell_len(piece.text) > width - LABEL and len(done) < most:
            done.append([])
        if _used(done) + cell_len(piece.text) + kept * (len(done) == most) > width - LABEL:
            done[-1].append(Piece(more, Look.STRONG))
            break
        done[-1].append(piece)
    done[-1].append(Piece(end, Look.QUIET))
    done += [[] for _ in range(most - len(done))]
    return [
        row([Piece(fit("" if at else " Lit", LABEL), Look.HEADING), *pieces], width)
        for at, pieces in enumerate(done)
    ]


def _used(lines: Sequence[Sequence[Piece]]) -> int:
    return width_of(tuple(lines[-1]))


def leg_line(legs: Sequence[LegView], width: int) -> Line:
    """Every leg in one line, in the longest words that fit; the last ones are cut if they must."""
    if not legs:
        return row([_label(LABEL), Piece(f"{UNKNOWN} no legs known yet", Look.QUIET)], width)
    line: list[Piece] = []
    for label, words, gap in ((LABEL, 1, " "), (LABEL, 2, " "), (6, 2, ""), (0, 2, "")):
        line = [_label(label)]
        for leg in legs:
            sign, *texts, look = LEG_WORDS[leg.state]
            if leg.locks.contradictory:
                sign, texts, look = CONTRADICTORY
            line.append(Piece(f"{leg.name}{gap}", Look.STRONG))
            line.append(Piece(f"{sign}{gap}{texts[words]}{gap} ", look))
        if width_of(tuple(line)) <= width:
            break
    return row(line, width)


def _label(cells: int) -> Piece:
    return Piece(fit(" Legs", cells), Look.HEADING)


def lamp_page_block(
    lamps: LampPlan, outputs: Outputs, width: int, rows: int
) -> tuple[Block, int, int]:
    """Every lamp of the panel: the block, how many columns it goes into, and their width.

    Where ``rows`` do not hold them all with their brightness, there are more columns without it.
    """
    looks = tuple(lamps.looks.values())
    names = [lamps.label(look) for look in looks]
    named = min(max(map(len, names), default=0), LONGEST_NAME) + 3
    state = _STATE
    columns, cells = columns_in(width, named + state, MOST_COLUMNS)
    if columns * (rows - 1) < len(looks):
        state = _SHORT_STATE
        columns, cells = columns_in(width, named + state, MOST_COLUMNS)
    name = name_width(names, cells - 2)
    lines: list[Line] = [heading([("Lamps", 8)], cells)]
    for look in looks:
        pieces = lamps.named_cell(look, outputs, min(name, cells - 1 - state), cells - 1)
        lines.append(row([Piece(" "), *pieces], cells))
    if not looks:
        lines.append(row([Piece(f" {MISSING} none fitted", Look.QUIET)], cells))
    return lines, columns, cells
