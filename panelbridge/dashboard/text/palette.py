"""The colours: warm grey on near-black, and hue only where something is lit, held or wrong.

Nothing is shown by colour alone: ``state_words.py`` has a sign and a word for every state.
"""

from __future__ import annotations

from collections.abc import Mapping

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from panelbridge.dashboard.text.lines import Line, TextStyle, width_of

GROUND = "#171614"
INK = "#d6d0c4"
QUIET = "#8f887b"


def _style(colour: str, *, bold: bool = False, on: str = GROUND) -> Style:
    return Style(color=colour, bgcolor=on, bold=bold)


STYLES: Mapping[TextStyle, Style] = {
    TextStyle.TEXT: _style(INK),
    TextStyle.QUIET: _style(QUIET),
    TextStyle.HEADING: _style("#c9ae7c"),
    TextStyle.RULE: _style("#4a463e"),
    TextStyle.KEY: _style("#9cc3d5", bold=True),
    TextStyle.STRONG: _style("#f3eee2", bold=True),
    TextStyle.GOOD: _style("#9fcf8f"),
    TextStyle.CAUTION: _style("#e6b35c"),
    TextStyle.ALARM: _style("#ff8070", bold=True),
    TextStyle.GRIP: _style("#b7c9d1", on="#2b2a27"),
    TextStyle.HELD: _style(GROUND, bold=True, on="#9cc3d5"),
    TextStyle.DARK: _style(QUIET),
    TextStyle.LIT_RED: _style("#ff7464", bold=True),
    TextStyle.LIT_AMBER: _style("#ffb938", bold=True),
    TextStyle.LIT_GREEN: _style("#4fdc78", bold=True),
    TextStyle.LIT_WHITE: _style("#ffffff", bold=True),
    TextStyle.LIT_BLUE: _style("#74b2ff", bold=True),
}


def strip_of(line: Line) -> Strip:
    """A line as Textual paints it."""
    return Strip([Segment(span.text, STYLES[span.style]) for span in line], width_of(line))
