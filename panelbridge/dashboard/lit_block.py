"""What is lit, and where the legs are, in a line or two: for pages that have no room for more."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from panelbridge.dashboard.flow import Block, columns_in
from panelbridge.dashboard.lamps import LampPlan, label_of, lamp_cell, name_width
from panelbridge.dashboard.pieces import Line, Look, Piece, fit, heading, row, width_of
from panelbridge.dashboard.ports import LampLook
from panelbridge.dashboard.top_block import LABEL
from panelbridge.dashboard.words import CONTRADICTORY, LEG_WORDS, MISSING, OFF, ON, UNKNOWN
from panelbridge.signals import LegView, Outputs

LONGEST_NAME = 24
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
        Piece(f"{ON} {label_of(look)}  ", lamp_cell(look, outputs.lamps[look.name], 6).look)
        for look in shining
    ]
    if not shining:
        texts.append(Piece(f"{OFF} none lit  " if unknown < len(looks) else "", Look.QUIET))
    end = [Piece(f"{UNKNOWN} {unknown} unknown", Look.QUIET)] if unknown else []
    room = width - LABEL
    done: list[list[Piece]] = [[]]
    for at, piece in enumerate(texts):
        left = len(texts) - at
        # Room for what has to be told at the end stays free in the last line.
        kept = cell_len(end[0].text) if end else 0
        kept += cell_len(f"+{left} more ") if left > 1 else 0
        last = len(done) == most
        used = width_of(tuple(done[-1]))
        needed = cell_len(piece.text.rstrip())
        if used + needed + (kept if last else 0) > room:
            if last:
                done[-1].append(Piece(f"+{left} more  ", Look.STRONG))
                break
            done.append([])
        done[-1].append(piece)
    done[-1] += end
    done += [[] for _ in range(most - len(done))]
    return [
        row([Piece(fit("" if at else " Lit", LABEL), Look.HEADING), *pieces], width)
        for at, pieces in enumerate(done)
    ]


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


def lamp_page_blocks(lamps: LampPlan, outputs: Outputs, width: int) -> tuple[list[Block], int, int]:
    """Every lamp of the panel in as many columns as fit: the block, the columns, their width."""
    looks = tuple(lamps.looks.values())
    state = _STATE if width >= 2 * (LONGEST_NAME + _STATE) else _SHORT_STATE
    longest = max((len(label_of(look)) for look in looks), default=0)
    least = min(longest, LONGEST_NAME) + 3 + state
    columns, cells = columns_in(width, least, 6)
    name = name_width(looks, cells - 2)
    lines: list[Line] = [heading([("Lamps", 8)], cells)]
    for look in looks:
        pieces = lamps.named_cell(look, outputs, min(name, cells - 1 - state), cells - 1)
        lines.append(row([Piece(" "), *pieces], cells))
    if not looks:
        lines.append(row([Piece(f" {MISSING} none fitted", Look.QUIET)], cells))
    return [lines], columns, cells
