"""The legs and the lit lamps in a line or two, for pages without room for more."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from panelbridge.dashboard.blocks.header import LABEL_WIDTH
from panelbridge.dashboard.blocks.lamp_cells import LampLayout, lit_style
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    fit,
    row,
    width_of,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, OFF, UNKNOWN, leg_words
from panelbridge.signals import LegView, Outputs

_GAP = TextSpan(" ")


def lit_lines(
    lamps: LampLayout, looks: Sequence[LampLook], outputs: Outputs, width: int, most: int
) -> list[Line]:
    """The lit lamps among ``looks`` in exactly ``most`` lines; those that do not fit are counted.

    Lamps whose board is not live are counted as unknown.
    """
    lit = [look for look in looks if lamps.is_lit(look, outputs)]
    unknown = sum(not lamps.is_known(look, outputs) for look in looks)
    spans = [
        TextSpan(f"{LAMP_SIGNS[look.colour]} {lamps.label(look)} ", lit_style(look)) for look in lit
    ]
    if not lit and unknown < len(looks):
        spans.append(TextSpan(f"{OFF} none lit ", TextStyle.QUIET))
    end = f"{UNKNOWN} {unknown} unknown" if unknown else ""
    room = width - LABEL_WIDTH
    done: list[list[TextSpan]] = [[]]
    for at, span in enumerate(spans):
        more = f"+{len(spans) - at} more  "
        # The last line keeps room for the counts at its end.
        kept = cell_len(end) + (cell_len(more) if at < len(spans) - 1 else 0)
        if width_of((*done[-1], span, _GAP)) > room and len(done) < most:
            done.append([])
        if width_of((*done[-1], span, _GAP)) + kept * (len(done) == most) > room:
            done[-1].append(TextSpan(more, TextStyle.STRONG))
            break
        done[-1] += [span, _GAP]
    done[-1].append(TextSpan(end, TextStyle.QUIET))
    done += [[] for _ in range(most - len(done))]
    return [
        row([TextSpan(fit("" if at else " Lit", LABEL_WIDTH), TextStyle.HEADING), *line], width)
        for at, line in enumerate(done)
    ]


def leg_line(legs: Sequence[LegView], width: int) -> Line:
    """Every leg in one line, in the longest words that fit; cut at its end if it must."""
    if not legs:
        return row(
            [_label(LABEL_WIDTH), TextSpan(f"{UNKNOWN} no leg data yet", TextStyle.QUIET)], width
        )
    line: list[TextSpan] = []
    for label, words, gap in ((LABEL_WIDTH, 1, " "), (LABEL_WIDTH, 2, " "), (6, 2, ""), (0, 2, "")):
        line = [_label(label)]
        for leg in legs:
            sign, *texts, style = leg_words(leg)
            line.append(TextSpan(f"{words_of_name(leg.name)}{gap}", TextStyle.STRONG))
            line.append(TextSpan(f"{sign}{gap}{texts[words]}{gap} ", style))
        if width_of(tuple(line)) <= width:
            break
    return row(line, width)


def _label(cells: int) -> TextSpan:
    return TextSpan(fit(" Legs", cells), TextStyle.HEADING)
