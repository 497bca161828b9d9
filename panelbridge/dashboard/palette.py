"""The colours: warm grey on near-black, and hue only where something is lit, held or wrong.

Nothing is told by colour alone: ``words.py`` has a sign and a word for everything.
"""

from __future__ import annotations

from collections.abc import Mapping

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from panelbridge.dashboard.pieces import Line, Look, width_of

GROUND = "#171614"
INK = "#d6d0c4"
QUIET = "#8f887b"


def _style(colour: str, *, bold: bool = False, on: str = GROUND) -> Style:
    return Style(color=colour, bgcolor=on, bold=bold)


STYLES: Mapping[Look, Style] = {
    Look.TEXT: _style(INK),
    Look.QUIET: _style(QUIET),
    Look.HEADING: _style("#c9ae7c"),
    Look.RULE: _style("#4a463e"),
    Look.KEY: _style("#9cc3d5", bold=True),
    Look.STRONG: _style("#f3eee2", bold=True),
    Look.GOOD: _style("#9fcf8f"),
    Look.CAUTION: _style("#e6b35c"),
    Look.ALARM: _style("#ff8070", bold=True),
    Look.GRIP: _style("#b7c9d1", on="#2b2a27"),
    Look.HELD: _style("#171614", bold=True, on="#9cc3d5"),
    Look.DARK: _style(QUIET),
    Look.LIT_RED: _style("#ff7464", bold=True),
    Look.LIT_AMBER: _style("#ffb938", bold=True),
    Look.LIT_GREEN: _style("#4fdc78", bold=True),
    Look.LIT_WHITE: _style("#ffffff", bold=True),
    Look.LIT_BLUE: _style("#74b2ff", bold=True),
}


def strip_of(line: Line) -> Strip:
    """A line as the terminal gets it."""
    return Strip([Segment(piece.text, STYLES[piece.look]) for piece in line], width_of(line))


def blank_strip(width: int) -> Strip:
    """An empty line."""
    return Strip.blank(width, STYLES[Look.TEXT])
