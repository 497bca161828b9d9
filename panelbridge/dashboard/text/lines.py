"""Lines of styled text: what the drawing functions return, before any terminal is involved.

A span knows its style by name, never by colour, and may carry the switch that a click on it moves,
so that what is drawn and what can be clicked always agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple, Self

from msgspec import Struct
from rich import cells as rich_cells
from rich.cells import set_cell_size

cell_len = lru_cache(maxsize=8192)(rich_cells.cell_len)
"""Cells of a text: measured for every span of every line, and most are the same again."""


class TextStyle(StrEnum):
    """The meaning of a span; ``palette.py`` maps each to a colour and weight."""

    TEXT = "text"
    QUIET = "quiet"
    HEADING = "heading"
    RULE = "rule"
    KEY = "key"
    STRONG = "strong"
    GOOD = "good"
    CAUTION = "caution"
    ALARM = "alarm"
    GRIP = "grip"
    """Can be moved with the mouse."""
    HELD = "held"
    """Is being held."""
    DARK = "dark"
    """A lamp that is not lit."""
    STATUS = "status"
    """A large word that says that all is normal."""
    EDGE = "edge"
    """The outline of a tile that is not lit."""
    LIT_RED = "lit_red"
    """Dark text on a filled ground: a lamp that is lit, or a state that wants attention."""
    LIT_AMBER = "lit_amber"
    LIT_GREEN = "lit_green"
    LIT_WHITE = "lit_white"
    LIT_BLUE = "lit_blue"
    END_RED = "end_red"
    """The last row of a lit tile, underlined: it keeps apart from a lit one below it."""
    END_AMBER = "end_amber"
    END_GREEN = "end_green"
    END_WHITE = "end_white"
    END_BLUE = "end_blue"
    MID_RED = "mid_red"
    """The ground of a dimmed lamp, where it carries no text."""
    MID_AMBER = "mid_amber"
    MID_GREEN = "mid_green"
    MID_WHITE = "mid_white"
    MID_BLUE = "mid_blue"
    LOW_RED = "low_red"
    LOW_AMBER = "low_amber"
    LOW_GREEN = "low_green"
    LOW_WHITE = "low_white"
    LOW_BLUE = "low_blue"

    __hash__ = str.__hash__  # an enum's own is slow, and every span of a page is hashed


class ClickTarget(Struct, frozen=True):
    """What a click on a span does.

    Attributes:
        name: of the switch that it moves; in the key line, the key that it stands for.
        position: where a click puts the switch; None for a button, which is pressed while the mouse
            button is down.
        asks: a click moves nothing: it opens the reasons of ``name``.
    """

    name: str
    position: str | float | None = None
    asks: bool = False


class _Span(NamedTuple):
    text: str
    style: TextStyle
    target: ClickTarget | None


class TextSpan(_Span):
    """A run of text with one style; control characters in a name never reach the terminal.

    A tuple, as pages are made of thousands of them, which are compared at each drawing.
    """

    __slots__ = ()

    def __new__(
        cls,
        text: str,
        style: TextStyle = TextStyle.TEXT,
        target: ClickTarget | None = None,
    ) -> Self:
        """A span of the printable part of ``text``."""
        return tuple.__new__(cls, (clean(text), style, target))


Line = tuple[TextSpan, ...]


def asking(lines: Iterable[Line], name: str) -> list[Line]:
    """``lines`` on which a click opens the reasons of ``name``; what moves a switch still does."""
    return [_asking_line(line, name) for line in lines]


@lru_cache(maxsize=2048)
def _asking_line(line: Line, name: str) -> Line:
    target = ClickTarget(name, asks=True)
    return tuple(
        [span if span.target else TextSpan(span.text, span.style, target) for span in line]
    )


_SPOKEN = {"lf": "L front", "rf": "R front", "lr": "L rear", "rr": "R rear"}
"""Names of trucks of wheels, as files shorten them."""


@lru_cache(maxsize=1024)
def words_of_name(name: str) -> str:
    """``left_outer`` as ``left outer``, ``lf_inner`` as ``L front inner``."""
    return " ".join([_SPOKEN.get(word, word) for word in name.replace("_", " ").split(" ")])


def clean(text: str) -> str:
    """``text`` on one line and without control characters, which would upset a terminal."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else " " for sign in text)


@lru_cache(maxsize=4096)
def fit(text: str, width: int) -> str:
    """``text`` in exactly ``width`` cells: padded, or cut with an ellipsis."""
    text = clean(text)
    if width <= 0:
        return ""
    if cell_len(text) > width:
        return set_cell_size(text, width - 1) + "…"
    return set_cell_size(text, width)


def fit_right(text: str, width: int) -> str:
    """``text`` aligned right in ``width`` cells, for numbers."""
    text = clean(text)
    gap = width - cell_len(text)
    return " " * gap + text if gap >= 0 else fit(text, width)


def width_of(line: Iterable[TextSpan]) -> int:
    """Width of ``line`` in cells."""
    return sum(cell_len(span.text) for span in line)


def row(line: Iterable[TextSpan], width: int) -> Line:
    """``line`` in exactly ``width`` cells: padded, or cut with an ellipsis."""
    done: list[TextSpan] = []
    left = width
    for span in line:
        cells = cell_len(span.text)
        if cells > left:
            if left:
                done.append(TextSpan(fit(span.text, left), span.style, span.target))
            left = 0
            break
        if cells:
            done.append(span)
            left -= cells
    if left:
        done.append(TextSpan(" " * left))
    return tuple(done)


def quiet_row(text: str, width: int) -> Line:
    """A remark in the quiet style."""
    return row([TextSpan(f" {text}", TextStyle.QUIET)], width)


def blank(width: int) -> Line:
    """An empty line."""
    return (TextSpan(" " * width),)


def heading(columns: Sequence[tuple[str, int]], width: int) -> Line:
    """A rule that carries the names of columns, each above its own.

    Args:
        columns: name and width in cells, from the left edge. A negative width aligns the name
            right, as numbers are. The last column extends to the end of the line.
        width: of the line.
    """
    line: list[TextSpan] = []
    left = width
    for at, (name, wish) in enumerate(columns):
        last = at == len(columns) - 1
        cells = left - 1 if last and wish >= 0 else abs(wish)
        named = TextSpan(name if at or wish < 0 else f" {name}", TextStyle.HEADING)
        gap = cells - cell_len(named.text)
        end = "─" if last and wish >= 0 else " "
        rule = TextSpan(f" {'─' * (gap - 2)}{end}" if gap > 2 else " " * gap, TextStyle.RULE)
        line += row([rule, named] if wish < 0 else [named, rule], cells)
        left -= cells
    return row(line, width)


def side_by_side(blocks: Sequence[tuple[Sequence[Line], int]]) -> list[Line]:
    """Blocks beside each other, each given with its width; shorter ones are padded below."""
    height = max(len(lines) for lines, _ in blocks)
    return [
        tuple(
            span
            for lines, width in blocks
            for span in (lines[at] if at < len(lines) else blank(width))
        )
        for at in range(height)
    ]


def cut(
    lines: Sequence[Line], width: int, rows: int, rest: str, *, least_rows: int = 2
) -> list[Line]:
    """``lines`` in at most ``rows`` rows; if some are left out, the last row says how many.

    Args:
        lines: to show.
        width: of the lines.
        rows: maximum number of rows.
        rest: where or how to see the others, e.g. ``on page 2``.
        least_rows: in fewer rows than this the remark is left out.
    """
    if len(lines) <= rows or rows < least_rows:
        return list(lines[: max(rows, 0)])
    return [*lines[: rows - 1], quiet_row(f"▼ {len(lines) - rows + 1} more {rest}", width)]


def bar(fraction: float | None, width: int) -> str:
    """A level from 0 to 1 as a bar; dots when it is unknown."""
    if fraction is None:
        return "·" * width
    full = round(min(max(fraction, 0.0), 1.0) * width)
    return "█" * full + "░" * (width - full)


def target_at(lines: Sequence[Line], x: int, y: int) -> ClickTarget | None:
    """What a click at column ``x`` of line ``y`` does; None when it does nothing."""
    left = 0
    for span in lines[y] if 0 <= y < len(lines) else ():
        left += cell_len(span.text)
        if x < left:
            return span.target
    return None
