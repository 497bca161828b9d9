"""Lines of text with a look: what the drawing functions make, before any terminal is involved.

A line is a tuple of pieces. A piece knows its look by name, never by colour, and may carry the
switch that a click on it moves: so what is drawn and what can be clicked cannot drift apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rich.cells import cell_len, set_cell_size


class Look(StrEnum):
    """What a piece means to the eye; ``palette.py`` gives each its colour and weight."""

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
    """Something that can be taken with the mouse."""
    HELD = "held"
    """Something that is being held."""
    DARK = "dark"
    """A lamp that is not lit."""
    LIT_RED = "lit_red"
    LIT_AMBER = "lit_amber"
    LIT_GREEN = "lit_green"
    LIT_WHITE = "lit_white"
    LIT_BLUE = "lit_blue"


@dataclass(frozen=True, slots=True)
class Target:
    """What a click on a piece moves.

    Attributes:
        switch: name of the switch.
        position: where a click puts it; None for a button, which is operated while the mouse
            button is down.
    """

    switch: str
    position: str | float | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of text with one look."""

    text: str
    look: Look = Look.TEXT
    target: Target | None = None


Line = tuple[Piece, ...]


def clean(text: str) -> str:
    """``text`` on one line and without control characters, which would break a terminal."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def fit(text: str, width: int) -> str:
    """``text`` in exactly ``width`` cells: padded, or cut with an ellipsis at its end."""
    text = clean(text)
    if width <= 0:
        return ""
    if cell_len(text) > width:
        return set_cell_size(text, width - 1) + "…"
    return set_cell_size(text, width)


def fit_right(text: str, width: int) -> str:
    """``text`` at the right end of ``width`` cells, for numbers."""
    text = clean(text)
    gap = width - cell_len(text)
    return " " * gap + text if gap >= 0 else fit(text, width)


def width_of(line: Line) -> int:
    """Cells that ``line`` takes."""
    return sum(cell_len(piece.text) for piece in line)


def text_of(line: Line) -> str:
    """The words of ``line`` alone, as a screen without colour shows them."""
    return "".join(piece.text for piece in line)


def row(line: Iterable[Piece], width: int) -> Line:
    """``line`` in exactly ``width`` cells: padded or cut at its end."""
    done: list[Piece] = []
    left = width
    for piece in line:
        cells = cell_len(piece.text)
        if cells > left:
            if left:
                done.append(Piece(fit(piece.text, left), piece.look, piece.target))
            left = 0
            break
        if cells:
            done.append(piece)
            left -= cells
    if left:
        done.append(Piece(" " * left))
    return tuple(done)


def blank(width: int) -> Line:
    """An empty line."""
    return (Piece(" " * width),)


def heading(columns: Sequence[tuple[str, int]], width: int) -> Line:
    """A rule that carries the names of columns, each above its own.

    Args:
        columns: name and width in cells, from the left edge; a width below zero: the name stands
            at the column's right end, as numbers do. The last column goes on to the end.
        width: of the line.
    """
    line: list[Piece] = []
    left = width
    for at, (name, wish) in enumerate(columns):
        last = at == len(columns) - 1
        cells = left - 1 if last and wish >= 0 else abs(wish)
        words = name if at or wish < 0 else f" {name}"
        gap = cells - cell_len(words)
        named = Piece(words, Look.HEADING)
        if wish < 0:
            line += row(
                [Piece(f" {'─' * (gap - 2)} " if gap > 2 else " " * gap, Look.RULE), named], cells
            )
        else:
            end = "─" if last else " "
            line += row(
                [named, Piece(f" {'─' * (gap - 2)}{end}" if gap > 2 else " " * gap, Look.RULE)],
                cells,
            )
        left -= cells
    return row(line, width)


def side_by_side(blocks: Sequence[tuple[Sequence[Line], int]]) -> list[Line]:
    """Blocks beside each other, each given with its width; the lower ones are filled up."""
    height = max(len(lines) for lines, _ in blocks)
    return [
        tuple(
            piece
            for lines, width in blocks
            for piece in (lines[at] if at < len(lines) else blank(width))
        )
        for at in range(height)
    ]


def wrap(text: str, width: int) -> list[str]:
    """``text`` broken at spaces into lines of at most ``width`` cells; never an empty list."""
    lines: list[str] = []
    for part in text.splitlines() or [""]:
        line = ""
        for word in clean(part).split():
            joined = f"{line} {word}" if line else word
            if cell_len(joined) <= width:
                line = joined
                continue
            if line:
                lines.append(line)
            line = word
            while cell_len(line) > width > 0:  # a word that is longer than the line
                head = set_cell_size(line, width).rstrip() or line[:1]
                lines.append(head)
                line = line[len(head) :]
        lines.append(line)
    return lines


def wrap_few(text: str, width: int, most: int) -> list[str]:
    """``text`` wrapped into at most ``most`` lines; the last one says so when there is more."""
    lines = wrap(text, width)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], fit(" ".join(lines[most - 1 :]), width)]


def bar(fraction: float | None, width: int) -> str:
    """A level from 0 to 1 as a bar; dots when it is unknown."""
    if fraction is None:
        return "·" * width
    full = round(min(max(fraction, 0.0), 1.0) * width)
    return "█" * full + "░" * (width - full)
