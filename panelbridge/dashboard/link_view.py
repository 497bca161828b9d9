"""The links: a row a board, and under it why it is not live and what to do."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.pieces import (
    Line,
    Look,
    Piece,
    fit,
    fit_right,
    heading,
    row,
    wrap,
)
from panelbridge.dashboard.words import LINK_WORDS
from panelbridge.link.session import BoardHealth, LinkState

MESSAGE_LINES = 4
"""A message gets at most so many lines."""
_PLAIN_WIDTH = 56
_FULL_WIDTH = 80
_WIDE_WIDTH = 112


def _columns(width: int) -> list[tuple[str, int]]:
    if width >= _FULL_WIDTH:
        return [
            ("Frames in", 10),
            ("out", 8),
            ("Errors", 7),
            ("Trip ms", 8),
            ("Reconnects", 11),
            ("Edges lost", 11),
        ]
    if width >= _PLAIN_WIDTH:
        return [("Frames in", 10), ("Errors", 8), ("Trip ms", 9)]
    return []


def _values(board: BoardHealth, width: int) -> list[str]:
    errors = str(board.frame_errors + board.board_errors)
    trip = "?" if board.round_trip_ms is None else f"{board.round_trip_ms:.1f}"
    if width >= _FULL_WIDTH:
        return [
            str(board.frames_received),
            str(board.frames_sent),
            errors,
            trip,
            str(board.reconnects),
            str(board.edges_lost),
        ]
    return [str(board.frames_received), errors, trip] if width >= _PLAIN_WIDTH else []


def _name_width(width: int) -> int:
    if width >= _WIDE_WIDTH:
        return 16
    return 12 if width >= _PLAIN_WIDTH else max(min(width - 13, 14), 0)


def board_row(board: BoardHealth, width: int) -> Line:
    """One board's figures."""
    sign, word, look = LINK_WORDS[board.state]
    line = [
        Piece(fit(f" {board.name}", _name_width(width)), Look.STRONG),
        Piece(f" {fit(f'{sign} {word}', 12)}", look),
    ]
    for (_, cells), value in zip(_columns(width), _values(board, width), strict=True):
        line.append(Piece(fit_right(value, cells)))
    if width >= _WIDE_WIDTH:
        line.append(Piece(f"   {board.kind} on {board.url or 'no port'}", Look.QUIET))
    return row(line, width)


def message_lines(board: BoardHealth, width: int) -> list[Line]:
    """Why a board is not live and what to do; nothing when it is live or has nothing to say."""
    if board.state is LinkState.LIVE or not board.message:
        return []
    look = Look.CAUTION if board.state is not LinkState.REFUSED else Look.ALARM
    # In the narrower rows there is no column for the port, and a message is about a port.
    named = width >= _WIDE_WIDTH or not board.url or board.message.startswith(board.url)
    text = board.message if named else f"{board.url}: {board.message}"
    words = wrap(text, max(width - 4, 4))
    if len(words) > MESSAGE_LINES:
        last = fit(" ".join(words[MESSAGE_LINES - 1 :]), max(width - 4, 4))
        words = [*words[: MESSAGE_LINES - 1], last]
    return [row([Piece("   "), Piece(text, look)], width) for text in words]


def draw_links(boards: Sequence[BoardHealth], width: int) -> list[Line]:
    """A heading, then each board's figures and message."""
    columns = [(name, -cells) for name, cells in _columns(width)]
    after = [("", 3), ("Port", 5)] if width >= _WIDE_WIDTH else []
    name_width = _name_width(width) + 1
    lines = [heading([("Link", name_width), ("State", 12), *columns, *after], width)]
    if not boards:
        lines.append(row([Piece(" no board yet", Look.QUIET)], width))
    for board in boards:
        lines.append(board_row(board, width))
        lines += message_lines(board, width)
    return lines


def cut_links(lines: Sequence[Line], width: int, rows: int) -> list[Line]:
    """The links in ``rows`` lines: without the heading first, then cut at the end."""
    if len(lines) <= rows:
        return list(lines)
    kept = list(lines[1:])
    if len(kept) <= rows or rows <= 1:
        return kept[:rows]
    return [*kept[: rows - 1], row([Piece(" ▼ more: make the window taller", Look.QUIET)], width)]
