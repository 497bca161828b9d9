"""The colours: warm grey on near-black, and hue only where something is lit, held or wrong.

Red is for warnings alone, amber for cautions, green for safe, blue and white for advice (14 CFR
25.1322). The five lights were searched for the greatest least difference (CIEDE2000) between any
two of them, for normal sight and for the three colour vision deficiencies; ``tests/dashboard``
measures them. White text would be too weak on all five, so what is filled has dark text.

Nothing is shown by colour alone: ``state_words.py`` has a sign and a word for every state. So a
terminal with 16 colours has a table of its own, made of its bright colours: dark text on its dark
red would be too weak.
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
STATUS = "#6d685e"
UNLIT = "#2b2a27"
BLACK = "#000000"
DARK_TEXT = "#0f0e0d"
"""Text on a filled ground."""
LIGHTS: Mapping[str, str] = {
    "red": "#e54442",
    "amber": "#ffbc00",
    "green": "#00cba1",
    "white": "#eef4ff",
    "blue": "#507cd9",
}
DIM_FLOOR = 0.6
"""Least part of its light that a lit lamp keeps on the screen, however far it is dimmed."""
MID = 0.8
SIXTEEN_LIGHTS: Mapping[str, str] = {
    "red": "#ff5555",
    "amber": "#ffff55",
    "green": "#55ff55",
    "white": "#ffffff",
    "blue": "#55ffff",
}
"""The bright colours of a terminal with 16."""

Styles = Mapping[TextStyle, Style]


def _style(colour: str, *, bold: bool = False, on: str = GROUND, underline: bool = False) -> Style:
    return Style(color=colour, bgcolor=on, bold=bold, underline=underline)


def dimmed(colour: str, part: float) -> str:
    """``colour`` (``#rrggbb``) with so much of its light, 0 to 1: sRGB, IEC 61966-2-1."""
    return "#" + "".join(f"{_channel(int(colour[at : at + 2], 16), part):02x}" for at in (1, 3, 5))


def _channel(byte: int, part: float) -> int:
    value = byte / 255
    linear = value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
    linear *= part
    value = linear * 12.92 if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return round(value * 255)


def _lit(lights: Mapping[str, str]) -> dict[TextStyle, Style]:
    found: dict[TextStyle, Style] = {}
    for name, colour in lights.items():
        found[TextStyle(f"lit_{name}")] = _style(DARK_TEXT, bold=True, on=colour)
        found[TextStyle(f"end_{name}")] = _style(DARK_TEXT, bold=True, on=colour, underline=True)
        found[TextStyle(f"mid_{name}")] = _style(DARK_TEXT, on=dimmed(colour, MID))
        found[TextStyle(f"low_{name}")] = _style(DARK_TEXT, on=dimmed(colour, DIM_FLOOR))
    return found


STYLES: Styles = {
    TextStyle.TEXT: _style(INK),
    TextStyle.QUIET: _style(QUIET),
    TextStyle.HEADING: _style("#b3a58a"),
    TextStyle.RULE: _style("#4a463e"),
    TextStyle.KEY: _style(INK, bold=True),
    TextStyle.STRONG: _style("#f3eee2", bold=True),
    TextStyle.GOOD: _style(LIGHTS["green"]),
    TextStyle.CAUTION: _style(LIGHTS["amber"]),
    TextStyle.ALARM: _style(LIGHTS["red"], bold=True),
    TextStyle.GRIP: _style(INK, on=UNLIT),
    TextStyle.HELD: _style(GROUND, bold=True, on="#b7b2a6"),
    TextStyle.DARK: _style(QUIET),
    TextStyle.STATUS: _style(STATUS),
    TextStyle.EDGE: _style("#4a463e"),
    **_lit(LIGHTS),
}

_WHITE, _BRIGHT = "#aaaaaa", "#ffffff"
SIXTEEN: Styles = {
    **{
        style: Style(color=_BRIGHT if old.bold else _WHITE, bgcolor=BLACK, bold=old.bold)
        for style, old in STYLES.items()
    },
    TextStyle.RULE: _style("#555555", on=BLACK),
    TextStyle.EDGE: _style("#555555", on=BLACK),
    TextStyle.GOOD: _style(SIXTEEN_LIGHTS["green"], on=BLACK),
    TextStyle.CAUTION: _style(SIXTEEN_LIGHTS["amber"], on=BLACK),
    TextStyle.ALARM: _style(SIXTEEN_LIGHTS["red"], bold=True, on=BLACK),
    TextStyle.GRIP: _style(_BRIGHT, on=BLACK, underline=True),
    TextStyle.HELD: _style(BLACK, bold=True, on=_WHITE),
    **{
        TextStyle(f"{level}_{name}"): _style(BLACK, on=colour)
        for name, colour in SIXTEEN_LIGHTS.items()
        for level in ("lit", "mid", "low")
    },
    **{
        TextStyle(f"end_{name}"): _style(BLACK, on=colour, underline=True)
        for name, colour in SIXTEEN_LIGHTS.items()
    },
}
"""Colours of a terminal with 16, which knows no others (as ``rich`` names them)."""


def styles_for(colour_system: str | None) -> Styles:
    """The table for a terminal, by the name that ``rich`` gives its colours."""
    return SIXTEEN if colour_system in ("standard", "windows") else STYLES


def strip_of(line: Line, styles: Styles = STYLES) -> Strip:
    """A line as Textual paints it."""
    return Strip([Segment(span.text, styles[span.style]) for span in line], width_of(line))
