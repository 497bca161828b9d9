"""What a screen shows, cell by cell: a sign, its colours, and whether it is bold or underlined."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from itertools import groupby
from typing import Any
from unittest.mock import patch

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len
from rich.segment import Segment
from textual import constants
from textual._compositor import LayoutUpdate
from textual.app import App

GROUND, INK = "#171614", "#d6d0c4"
"""Of a cell that nobody has painted."""


class Cell(Struct, frozen=True):
    """One cell of a screen.

    Attributes:
        sign: what stands there; empty in the second cell of a wide sign.
        ink: colour of the sign; empty where there is nothing to see of it.
        ground: colour behind it.
        bold: the sign is bold.
        underlined: the cell has a line at its foot.
    """

    sign: str = " "
    ink: str = ""
    ground: str = GROUND
    bold: bool = False
    underlined: bool = False


Grid = Sequence[Sequence[Cell]]


def _cells_of(segment: Segment) -> Iterator[Cell]:
    style = segment.style
    ink, ground = INK, GROUND
    if style is not None:
        ink = style.color.get_truecolor().hex if style.color else INK
        ground = style.bgcolor.get_truecolor().hex if style.bgcolor else GROUND
        if style.reverse:
            ink, ground = ground, ink
    bold, underlined = bool(style and style.bold), bool(style and style.underline)
    for sign in segment.text:
        if sign == " ":
            yield Cell(" ", ink if underlined else "", ground, False, underlined)
            continue
        cell = Cell(sign, ink, ground, bold, underlined)
        yield cell
        for _ in range(cell_len(sign) - 1):
            yield replace(cell, sign="")


def shown_cells(app: App[Any]) -> Grid:
    """What a running app shows, with the screens below a dialogue."""
    update = app.screen._compositor.render_update(full=True, screen_stack=app._background_screens)
    assert isinstance(update, LayoutUpdate)
    return [
        [cell for strip in row for segment in strip for cell in _cells_of(segment)]
        for row in update.strips
    ]


@contextmanager
def _all_colours() -> Iterator[None]:
    with patch.object(constants, "COLOR_SYSTEM", "truecolor"), patch.dict(os.environ):
        os.environ.pop("NO_COLOR", None)
        yield


async def cells_of(
    making: AbstractContextManager[App[Any]], size: tuple[int, int], keys: Sequence[str] = ()
) -> Grid:
    """What an app shows in a terminal of ``size`` after ``keys``, with all colours."""
    with _all_colours(), making as app:
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await pilot.press(*keys)
            await pilot.pause()
            return shown_cells(app)


def differences(stored: Grid, shown: Grid, most: int = 12) -> list[str]:
    """Where two screens differ, in words: first the texts of rows, then the styles of cells."""
    if (sizes := [(len(grid), *map(len, grid[:1])) for grid in (stored, shown)])[0] != sizes[1]:
        return [f"rows and columns: stored {sizes[0]}, shown {sizes[1]}"]
    found: list[str] = []
    for at, (old, new) in enumerate(zip(stored, shown, strict=True), 1):
        texts = ["".join(cell.sign for cell in row) for row in (old, new)]
        if texts[0] != texts[1]:
            found += [f"row {at}: stored |{texts[0].rstrip()}", f"{'shown |':>{len(str(at)) + 13}}"]
            found[-1] += texts[1].rstrip()
            continue
        pairs = enumerate(zip(map(_look, old), map(_look, new), strict=True), 1)
        unequal = [(column, pair) for column, pair in pairs if pair[0] != pair[1]]
        for (one, other), group in groupby(unequal, lambda found: found[1]):
            columns = [column for column, _ in group]
            where = f"row {at}, columns {columns[0]} to {columns[-1]}"
            found.append(f"{where}: stored {one}, shown {other}")
    more = len(found) - most
    return [*found[:most], *([f"and {more} more"] if more > 0 else [])]


def _look(cell: Cell) -> str:
    bold, underlined = " bold" * cell.bold, " underlined" * cell.underlined
    return f"{cell.ink or 'nothing'} on {cell.ground}{bold}{underlined}"
