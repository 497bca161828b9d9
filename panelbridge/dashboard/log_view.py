"""The log: what happened, newest at the bottom."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.pieces import (
    Line,
    Look,
    Piece,
    blank,
    fit,
    fit_right,
    heading,
    row,
    wrap_few,
)
from panelbridge.dashboard.words import LEVEL_WORDS, time_text
from panelbridge.signals import Event, Level

_TIME = 8
_LEVEL = 10
_SMALL = 40
"""Below this width the level is told by its sign alone."""


def event_lines(event: Event, width: int, most: int) -> list[Line]:
    """One event: time, sign and word of its level, text; wrapped under its text.

    Where ``most`` lines do not hold it its beginning is shown, with an ellipsis.
    """
    sign, word, look = LEVEL_WORDS[event.level]
    small = width < _SMALL
    level = f" {sign} " if small else f"  {fit(f'{sign} {word}', _LEVEL)}"
    time = fit_right(time_text(event.time_s, tenths=not small), 5 if small else _TIME)
    head = len(time) + len(level)
    text_look = Look.TEXT if event.level is Level.INFO else look
    return [
        row(
            [Piece(time, Look.QUIET), Piece(level, look), Piece(text, text_look)]
            if at == 0
            else [Piece(" " * head), Piece(text, text_look)],
            width,
        )
        for at, text in enumerate(wrap_few(event.text, max(width - head - 1, 4), most))
    ]


def draw_log(
    events: Sequence[Event], back: int, width: int, rows: int, *, large: bool = False
) -> list[Line]:
    """A heading and the newest events that fit.

    Args:
        events: oldest first.
        back: how many of the newest to leave out: the reader has scrolled back.
        width: of every line.
        rows: exactly so many lines.
        large: the log is enlarged, and the heading tells how to move in it.
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
        shown = [row([Piece(" nothing has happened yet", Look.QUIET)], width)]
    shown += [blank(width)] * (room - len(shown))
    if not titled:
        return shown
    words = f"{back} newer below, End shows the newest" if back else ""
    if large and not back:
        words = "Up and Down read back, l makes it small"
    columns = [("Log", _TIME + 2), (words, 2)] if words and width >= 60 else [("Log", 5)]
    return [heading(columns, width), *shown]
