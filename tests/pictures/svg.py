"""A screen as a drawing, and back: every cell has its place, whatever font the viewer has.

Blocks, lines and dots are drawn as shapes, for fonts leave seams between them; each shape says in
``data-text`` which signs it stands for.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import TypeVar
from xml.etree import ElementTree
from xml.sax.saxutils import escape, quoteattr

from rich.cells import cell_len

from tests.pictures.cells import GROUND, Cell, Grid

WIDE, HIGH, MARGIN = 9, 18, 9
"""A cell, and the margin of the picture; pixels."""
_BASELINE, _FONT = 14, 15
_Key = TypeVar("_Key")
_SVG = "{http://www.w3.org/2000/svg}"
_FONTS = "'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace"


@dataclass(frozen=True, slots=True)
class _Run:
    """Neighbours that look alike."""

    column: int
    cells: Sequence[Cell]

    @property
    def text(self) -> str:
        return "".join(cell.sign for cell in self.cells)


def svg_of(grid: Grid, title: str) -> str:
    """The picture of a screen."""
    width, height = len(grid[0]) * WIDE + 2 * MARGIN, len(grid) * HIGH + 2 * MARGIN
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" data-columns="{len(grid[0])}"'
        f' data-rows="{len(grid)}">',
        f"<title>{escape(title)}</title>",
        f"<style>text {{ font: {_FONT}px {_FONTS}; }} .bold {{ font-weight: bold; }}</style>",
        f'<rect width="{width}" height="{height}" fill="{GROUND}"/>',
        f'<g transform="translate({MARGIN} {MARGIN})">',
    ]
    for at, row in enumerate(grid):
        lines += _row(row, at * HIGH)
    return "\n".join([*lines, "</g>", "</svg>", ""])


def _runs(row: Sequence[Cell], alike: Callable[[Cell], _Key]) -> Iterator[tuple[_Key, _Run]]:
    column = 0
    for key, group in groupby(row, alike):
        run = _Run(column, list(group))
        column += len(run.cells)
        yield key, run


def _row(row: Sequence[Cell], top: int) -> Iterator[str]:
    for ground, run in _runs(row, lambda cell: cell.ground):
        if ground != GROUND:
            yield _rect("ground", run, top, HIGH, ground)
    for ink, run in _runs(row, lambda cell: cell.ink if cell.underlined else ""):
        if ink:
            yield _rect("line", run, top + HIGH - 2, 1, ink)
    looks = _runs(row, lambda cell: (cell.ink, cell.bold, _is_drawn(cell.sign)))
    for (ink, bold, drawn), run in looks:
        if not ink or not run.text.strip():
            continue
        weight = ' class="bold"' * bold
        if drawn:
            shapes = [
                shape
                for at, sign in enumerate(run.text)
                for shape in _shapes(sign, (run.column + at) * WIDE, top)
            ]
            place = f'data-column="{run.column}" data-row="{top // HIGH}"'
            text = quoteattr(run.text)
            yield f'<path{weight} fill="{ink}" {place} data-text={text} d="{"".join(shapes)}"/>'
            continue
        place = (
            f'x="{run.column * WIDE}" y="{top + _BASELINE}" textLength="{len(run.cells) * WIDE}"'
        )
        yield f'<text{weight} fill="{ink}" {place}>{escape(run.text)}</text>'


def _rect(name: str, run: _Run, top: int, high: int, colour: str) -> str:
    place = f'x="{run.column * WIDE}" y="{top}" width="{len(run.cells) * WIDE}" height="{high}"'
    return f'<rect class="{name}" {place} fill="{colour}" shape-rendering="crispEdges"/>'


# Signs that are shapes


def _is_drawn(sign: str) -> bool:
    return bool(sign) and bool(_boxes(sign))


def _shapes(sign: str, left: int, top: int) -> Iterator[str]:
    for x, y, width, height in _boxes(sign):
        yield f"M{left + x:g} {top + y:g}h{width:g}v{height:g}h{-width:g}z"


_EIGHTHS = {
    "ONE EIGHTH": 1,
    "ONE QUARTER": 2,
    "THREE EIGHTHS": 3,
    "HALF": 4,
    "FIVE EIGHTHS": 5,
    "THREE QUARTERS": 6,
    "SEVEN EIGHTHS": 7,
}
_ARMS = {"UP": "u", "DOWN": "d", "LEFT": "l", "RIGHT": "r", "VERTICAL": "ud", "HORIZONTAL": "lr"}
_DOTS = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
Boxes = tuple[tuple[float, float, float, float], ...]


@cache
def _boxes(sign: str) -> Boxes:
    """Left, top, width and height of what a sign fills of its cell; none for a letter."""
    if 0x2800 <= ord(sign) <= 0x28FF:
        dots = [place for at, place in enumerate(_DOTS) if ord(sign) >> at & 1]
        return tuple((1.5 + 4.5 * x, 1.5 + 4.5 * y, 2, 2) for x, y in dots)
    name = unicodedata.name(sign, "")
    if name == "FULL BLOCK":
        return ((0, 0, WIDE, HIGH),)
    side, _, rest = name.partition(" ")
    part = _EIGHTHS.get(rest.removesuffix(" BLOCK"))
    if part is not None and rest.endswith(" BLOCK"):
        wide, high = WIDE * part / 8, HIGH * part / 8
        return {
            "UPPER": ((0, 0, WIDE, high),),
            "LOWER": ((0, HIGH - high, WIDE, high),),
            "LEFT": ((0, 0, wide, HIGH),),
            "RIGHT": ((WIDE - wide, 0, wide, HIGH),),
        }[side]
    words = name.removeprefix("BOX DRAWINGS LIGHT ").removeprefix("ARC ").split()
    if not name.startswith("BOX DRAWINGS LIGHT ") or not set(words) <= {*_ARMS, "AND"}:
        return ()
    arms = "".join(_ARMS.get(word, "") for word in words)
    x, y = WIDE // 2, HIGH // 2
    boxes = {
        "u": (x, 0, 1, y + 1),
        "d": (x, y, 1, HIGH - y),
        "l": (0, y, x + 1, 1),
        "r": (x, y, WIDE - x, 1),
    }
    return tuple(boxes[arm] for arm in arms)


# Back


def cells_in(svg: str) -> Grid:
    """The screen that a picture shows."""
    root = ElementTree.fromstring(svg)
    columns, rows = (int(root.attrib[f"data-{name}"]) for name in ("columns", "rows"))
    looks = [[_Painted() for _ in range(columns)] for _ in range(rows)]
    for shape in root.findall(f"{_SVG}g/*"):
        kind, given = shape.tag.removeprefix(_SVG), shape.attrib
        if kind == "rect":
            left, top = int(given["x"]) // WIDE, int(given["y"]) // HIGH
            for cell in looks[top][left : left + int(given["width"]) // WIDE]:
                if given["class"] == "ground":
                    cell.ground = given["fill"]
                else:
                    cell.underlined, cell.ink = True, given["fill"]
            continue
        if kind == "path":
            left, top, text = int(given["data-column"]), int(given["data-row"]), given["data-text"]
            width = len(text)
        else:
            left, top = int(given["x"]) // WIDE, int(given["y"]) // HIGH
            width, text = int(given["textLength"]) // WIDE, shape.text or ""
        signs = _spread(text, width)
        for cell, sign in zip(looks[top][left : left + width], signs, strict=True):
            cell.sign, cell.ink = sign, given["fill"]
            cell.bold = given.get("class") == "bold"
    return [[look.cell() for look in row] for row in looks]


@dataclass
class _Painted:
    """A cell while it is read."""

    sign: str = " "
    ink: str = ""
    ground: str = GROUND
    bold: bool = False
    underlined: bool = False

    def cell(self) -> Cell:
        return Cell(self.sign, self.ink, self.ground, self.bold, self.underlined)


def _spread(text: str, width: int) -> list[str]:
    """Signs over cells: a wide sign has an empty cell behind it."""
    return list(text) if len(text) == width else list(_wide(text))


def _wide(text: str) -> Iterator[str]:
    for sign in text:
        yield sign
        yield from [""] * (cell_len(sign) - 1)
