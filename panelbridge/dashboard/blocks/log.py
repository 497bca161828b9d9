"""The log: the events, newest at the bottom."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    blank,
    fit,
    fit_right,
    heading,
    quiet_row,
    row,
)
from panelbridge.dashboard.text.state_words import LEVEL_WORDS, time_text
from panelbridge.dashboard.text.wrapping import wrap_at_most
from panelbridge.signals import Event, Level

_TIME_WIDTH = 8
_LEVEL_WIDTH = 10
_SMALL = 40
"""Below this width the sign alone stands for the level."""


def event_lines(event: Event, width: int, most: int) -> list[Line]:
    """One event in at most ``most`` lines: time, level, text, wrapped below its text."""
    sign, word, style = LEVEL_WORDS[event.level]
    small = width < _SMALL
    level = f" {sign} " if small else f"  {fit(f'{sign} {word}', _LEVEL_WIDTH)}"
    time = fit_right(time_text(event.time_s, tenths=not small), 5 if small else _TIME_WIDTH)
    head = [TextSpan(time, TextStyle.QUIET), TextSpan(level, style)]
    indent = len(time) + len(level)
    text_style = TextStyle.TEXT if event.level is Level.INFO else style
    texts = wrap_at_most(event.text, max(width - indent - 1, 4), most)
    return [
        row([*([TextSpan(" " * indent)] if at else head), TextSpan(text, text_style)], width)
        for at, text in enumerate(texts)
    ]


def draw_log(
    events: Sequence[Event], back: int, width: int, rows: int, *, large: bool = False
) -> list[Line]:
    """A heading and the newest events that fit.

    Args:
        events: oldest first.
        back: how many of the newest to leave out: the reader has scrolled back.
        width: of every line.
        rows: number of lines, exactly.
        large: the log is enlarged, and the heading says how to scroll it.
    """
    if rows <= 0:
        return []
    back = min(max(back, 0), max(len(events) - 1, 0))
    shown: list[Line] = []
    at = len(events) - back
    titled = rows > 2
    room = rows - 1 if titled else rows
    while at > 0 and len(shown) < room:
        at -= 1
        shown[:0] = event_lines(events[at], width, room - len(shown))
    if not events:
        shown = [quiet_row("no events yet", width)]
    shown += [blank(width)] * (room - len(shown))
    if not titled:
        return shown
    words = "Up and Down scroll, l makes it small" if large else ""
    if back:
        words = f"{back} newer below, End shows the newest"
    columns = [("Log", _TIME_WIDTH + 2), (words, 2)] if words and width >= 60 else [("Log", 5)]
    return [heading(columns, width), *shown]
