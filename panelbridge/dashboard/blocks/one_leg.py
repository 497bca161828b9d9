"""A leg of the panel: its name and state, its lamps, and how far it has come."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from panelbridge.dashboard.blocks.tiles import ShownLamp, centred, dark_tile, lit_tile, rows_of
from panelbridge.dashboard.blocks.value_cells import mark_spans
from panelbridge.dashboard.blocks.verdict import MOVING
from panelbridge.dashboard.text.big_letters import big_rows, big_text, big_width
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    asking,
    fit_right,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, UNKNOWN, leg_words
from panelbridge.signals import LegView

SMALL_LEG, LARGE_LEG, HUGE_LEG = 13, 25, 37
"""Cells of a leg: one tile, or two lamps beside each other."""
_STATE_STYLES = {TextStyle.TEXT: TextStyle.QUIET, TextStyle.GOOD: TextStyle.QUIET}
"""What is normal is quiet here: the lamps say it."""


@lru_cache(maxsize=64)
def large_leg(
    leg: LegView, lamps: tuple[ShownLamp, ...], width: int, height: int
) -> Sequence[Line]:
    """Name and state, the lamps beside each other, and the travel below."""
    sign, _, state, _, style = leg_words(leg)
    name = words_of_name(leg.name).upper()
    style = TextStyle.TEXT if leg.state in MOVING else _STATE_STYLES.get(style, style)
    room = width - len(name) - 1
    title = row(
        [
            TextSpan(name + " ", TextStyle.STRONG),
            TextSpan(fit_right(f"{sign} {state}", room), style),
        ],
        width,
    )
    rows = height - 2
    each = (width - len(lamps) + 1) // max(len(lamps), 1)
    cells: list[Sequence[Line]] = [
        asking(_leg_lamp(lamp, leg, each, rows), lamp.look.name) for lamp in lamps
    ]
    if not cells:
        cells, each = [dark_tile(f"{sign} {state}", width, rows)], width
    lines = [title, *rows_of(cells, [each] * len(cells)), _travel(leg, width)]
    return asking(lines, f"{leg.name}_leg")


def _leg_lamp(lamp: ShownLamp, leg: LegView, width: int, rows: int) -> Sequence[Line]:
    look, legend, brightness = lamp
    if not brightness:
        return dark_tile(legend, width, rows, known=brightness is not None)
    words = _large_words(lamp, leg)
    if big_rows() + 1 > rows or big_width(words) > width - 2:
        return lit_tile(look, legend, brightness, width, rows)
    return lit_tile(look, legend, brightness, width, rows, big_text(words))


@lru_cache(maxsize=64)
def small_leg(leg: LegView, lamps: tuple[ShownLamp, ...]) -> Sequence[Line]:
    """One tile of three rows: name, state and travel, on the ground of the lamp that is lit."""
    _, _, state, _, _ = leg_words(leg)
    texts = [words_of_name(leg.name).upper(), state, _percent_text(leg)]
    lit = [lamp.look for lamp in lamps if lamp.brightness]
    if not lit:
        known = all(lamp.brightness is not None for lamp in lamps)
        return asking(_small_dark(texts, known=known), f"{leg.name}_leg")
    # With both lit (a lamp test) the tile has both colours.
    lines: list[Line] = []
    for at, text in enumerate(texts):
        look = lit[min(at, len(lit) - 1)]
        sign = LAMP_SIGNS[look.colour] if at < len(lit) else ""
        level = "end" if at == len(texts) - 1 else "lit"
        lines.append((TextSpan(_signed(sign, text), TextStyle(f"{level}_{look.colour}")),))
    return asking(lines, f"{leg.name}_leg")


def _signed(sign: str, text: str) -> str:
    """``text`` where it stands in a dark tile, with a sign before it."""
    middle = centred(text, SMALL_LEG)
    start = len(middle) - len(middle.lstrip())
    at = max(start - 2, 0)
    return f"{middle[:at]}{sign}{middle[at + 1 :]}" if sign and start else middle


def _large_words(lamp: ShownLamp, leg: LegView) -> str:
    """Inside a lit lamp: where the leg is, so that green and red differ without colour."""
    if lamp.look.colour == "green":
        return "DN"
    travel = leg.travel_fraction
    return "?" if travel is None else f"{travel * 100:.0f}"


def _percent_text(leg: LegView) -> str:
    return UNKNOWN if leg.travel_fraction is None else f"{leg.travel_fraction:.0%}"


def _travel(leg: LegView, width: int) -> Line:
    """How far a leg is: a mark on a line from up to down."""
    percent = fit_right(_percent_text(leg), 6)
    way = width - len(percent)
    if leg.travel_fraction is None:
        return row([TextSpan("·" * way + percent, TextStyle.QUIET)], width)
    return row([*mark_spans(leg.travel_fraction, way), TextSpan(percent, TextStyle.QUIET)], width)


def _small_dark(texts: Sequence[str], *, known: bool) -> list[Line]:
    ends = "│" if known else ":"
    lines: list[Line] = []
    for at, text in enumerate(texts):
        style = TextStyle.TEXT if at == 0 else TextStyle.QUIET
        if at == len(texts) - 1 and not known:
            text = f"{text} {UNKNOWN}"  # noqa: PLW2901
        lines.append(
            (
                TextSpan(ends, TextStyle.EDGE),
                TextSpan(centred(text, SMALL_LEG - 2), style),
                TextSpan(ends, TextStyle.EDGE),
            )
        )
    return lines
