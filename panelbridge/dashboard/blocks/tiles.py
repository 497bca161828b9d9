"""A lamp as a tile: an outline with its legend while dark, a filled ground when lit.

The legend stays in the same cells, lit or not, and a tile never moves. A dimmed lamp has a darker
ground where it carries no text; its legend keeps the full contrast.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, asking, blank, fit, row
from panelbridge.dashboard.text.state_words import LAMP_SIGNS, UNKNOWN
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.signals import Outputs

_FULL, _MID = 216, 120
"""Brightness from which a ground is drawn at its full light, and at a part of it."""
_TOP = 255


def lit_ground(colour: str, brightness: int) -> TextStyle:
    """The ground of a lit lamp where it carries no text."""
    level = "lit" if brightness >= _FULL else "mid" if brightness >= _MID else "low"
    return TextStyle(f"{level}_{colour}")


def centred(text: str, width: int) -> str:
    """``text`` in the middle of ``width`` cells, cut if it must be."""
    gap = max(width - len(text), 0)
    return fit(" " * (gap // 2) + text, width)


def legend_lines(legend: str, width: int, most: int) -> list[str]:
    """A legend in at most ``most`` lines of ``width`` cells; what does not fit is cut."""
    lines = wrap(legend, max(width, 1))
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], " ".join(lines[most - 1 :])]


def state_text(look: LampLook, brightness: int) -> str:
    """Sign and colour of a lit lamp, with its brightness when it is dimmed."""
    percent = "" if brightness >= _TOP else f" {max(round(brightness * 100 / _TOP), 1)}%"
    return f"{LAMP_SIGNS[look.colour]} {look.colour}{percent}"


class ShownLamp(NamedTuple):
    """What a tile shows of a lamp; ``brightness`` is None while it is not known."""

    look: LampLook
    legend: str
    brightness: int | None


def shown_lamp(look: LampLook, lamps: LampLayout, outputs: Outputs) -> ShownLamp:
    """A lamp as it is now."""
    known = lamps.is_known(look, outputs)
    return ShownLamp(look, lamps.label(look), outputs.lamps[look.name] if known else None)


@lru_cache(maxsize=512)
def tile(lamp: ShownLamp, width: int, rows: int) -> Sequence[Line]:
    """A lamp in ``rows`` lines (1, or at least 3) of ``width`` cells."""
    look, legend, brightness = lamp
    known = brightness is not None
    if rows == 1:
        lines: Sequence[Line] = [_line_tile(look, legend, brightness or 0, width, known=known)]
    elif brightness:
        lines = lit_tile(look, legend, brightness, width, rows)
    else:
        lines = dark_tile(legend, width, rows, known=known)
    return asking(lines, look.name)


def _line_tile(look: LampLook, legend: str, brightness: int, width: int, *, known: bool) -> Line:
    if brightness:
        sign = LAMP_SIGNS[look.colour]
        return (TextSpan(fit(f" {sign} {legend}", width), TextStyle(f"end_{look.colour}")),)
    sign = " " if known else UNKNOWN
    return (TextSpan(fit(f" {sign} {legend}", width), TextStyle.DARK),)


def lit_tile(
    look: LampLook,
    legend: str,
    brightness: int,
    width: int,
    rows: int,
    words: Sequence[str] = (),
) -> list[Line]:
    """A lit lamp; ``words`` stand in it instead of its legend."""
    texts = [*words] or legend_lines(legend, width - 2, 2)
    top = legend_row(len(texts), rows)
    ground = lit_ground(look.colour, brightness)
    text_style, end_style = TextStyle(f"lit_{look.colour}"), TextStyle(f"end_{look.colour}")
    lines: list[Line] = []
    for at in range(rows - 1):
        inside = top <= at < top + len(texts)
        text = centred(texts[at - top], width) if inside else " " * width
        lines.append((TextSpan(text, text_style if inside else ground),))
    state = centred(state_text(look, brightness), width)
    return [*lines, (TextSpan(state, end_style),)]


def legend_row(texts: int, rows: int) -> int:
    """The row of a tile in which its legend begins; the last row is for its state."""
    return max((rows - texts) // 2, 0)


@lru_cache(maxsize=512)
def dark_tile(legend: str, width: int, rows: int, *, known: bool = True) -> Sequence[Line]:
    """A lamp that is dark, or not known: then its outline is broken."""
    texts = legend_lines(legend, width - 2, 2)
    top = legend_row(len(texts), rows)
    line = "─" if known else "-"
    inner = width - 2
    lines: list[Line] = []
    for at in range(rows):
        text = texts[at - top] if top <= at < top + len(texts) else ""
        if at == rows - 1 and not known:
            text = UNKNOWN
        if at in (0, rows - 1):
            ends = "┌┐" if at == 0 else "└┘"
            shown = f" {text} " if text and len(text) + 2 <= inner else text
            left = max((inner - len(shown)) // 2, 0)
            right = max(inner - len(shown) - left, 0)
            lines.append(
                row(
                    [
                        TextSpan(ends[0] + line * left, TextStyle.EDGE),
                        TextSpan(shown[:inner], TextStyle.DARK),
                        TextSpan(line * right + ends[1], TextStyle.EDGE),
                    ],
                    width,
                )
            )
            continue
        side = "│" if known else ":"
        lines.append(
            (
                TextSpan(side, TextStyle.EDGE),
                TextSpan(centred(text, inner), TextStyle.DARK),
                TextSpan(side, TextStyle.EDGE),
            )
        )
    return tuple(lines)


def rows_of(cells: Sequence[Sequence[Line]], widths: Sequence[int], gap: int = 1) -> list[Line]:
    """Tiles beside each other, all with the same number of rows."""
    lines: list[Line] = []
    for at in range(len(cells[0])):
        line: list[TextSpan] = []
        for place, (cell, width) in enumerate(zip(cells, widths, strict=True)):
            if place:
                line.append(TextSpan(" " * gap))
            line += cell[at] if at < len(cell) else blank(width)
        lines.append(tuple(line))
    return lines
