"""The links: a row per board; below it why it is not live and what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    cut,
    fit,
    fit_right,
    heading,
    quiet_row,
    row,
)
from panelbridge.dashboard.text.state_words import LINK_WORDS, UNKNOWN
from panelbridge.dashboard.text.wrapping import wrap_at_most
from panelbridge.link.session import BoardHealth, LinkState

MESSAGE_LINES = 4
"""Maximum number of lines of a message."""
_FIGURES_WIDTH = 56
_FULL_WIDTH = 80
_PORT_WIDTH = 112


def _errors(board: BoardHealth) -> str:
    return str(board.frame_errors + board.board_errors)


def _trip(board: BoardHealth) -> str:
    return UNKNOWN if board.round_trip_ms is None else f"{board.round_trip_ms:.1f}"


_Figure = tuple[str, int, Callable[[BoardHealth], str]]
"""Title, cells, text."""
_FEW: Sequence[_Figure] = (
    ("Frames in", 10, lambda board: str(board.frames_received)),
    ("Errors", 8, _errors),
    ("Trip ms", 9, _trip),
)
_ALL: Sequence[_Figure] = (
    _FEW[0],
    ("out", 8, lambda board: str(board.frames_sent)),
    ("Errors", 7, _errors),
    ("Trip ms", 8, _trip),
    ("Reconnects", 11, lambda board: str(board.reconnects)),
    ("Edges lost", 11, lambda board: str(board.edges_lost)),
)


def _figures(width: int) -> Sequence[_Figure]:
    return _ALL if width >= _FULL_WIDTH else _FEW if width >= _FIGURES_WIDTH else ()


def _name_width(width: int) -> int:
    if width >= _PORT_WIDTH:
        return 16
    return 12 if width >= _FIGURES_WIDTH else max(min(width - 13, 14), 0)


def _board_row(board: BoardHealth, width: int) -> Line:
    sign, word, style = LINK_WORDS[board.state]
    line = [
        TextSpan(fit(f" {board.name}", _name_width(width)), TextStyle.STRONG),
        TextSpan(f" {fit(f'{sign} {word}', 12)}", style),
        *(TextSpan(fit_right(text(board), cells)) for _, cells, text in _figures(width)),
    ]
    if width >= _PORT_WIDTH:
        line.append(TextSpan(f"   {board.kind} on {board.url or 'no port'}", TextStyle.QUIET))
    return row(line, width)


def _message_lines(board: BoardHealth, width: int) -> list[Line]:
    """Why a board is not live and what to do, or why its link is poor."""
    if board.state is LinkState.LIVE:
        text = f"poor: {board.poor} ({board.damaged_fraction:.0%} damaged)"
        return [row([TextSpan(f"   {text}", TextStyle.CAUTION)], width)] if board.poor else []
    if not board.message:
        return []
    style = TextStyle.ALARM if board.state is LinkState.REFUSED else TextStyle.CAUTION
    # Narrow rows have no column for the port, and a message is about a port.
    named = width >= _PORT_WIDTH or not board.url or board.message.startswith(board.url)
    text = board.message if named else f"{board.url}: {board.message}"
    lines = wrap_at_most(text, max(width - 4, 4), MESSAGE_LINES)
    return [row([TextSpan(f"   {line}", style)], width) for line in lines]


def draw_links(boards: Sequence[BoardHealth], width: int) -> list[Line]:
    """A heading, then each board's figures and message."""
    columns = [("Link", _name_width(width) + 1), ("State", 12)]
    columns += [(title, -cells) for title, cells, _ in _figures(width)]
    if width >= _PORT_WIDTH:
        columns += [("", 3), ("Port", 5)]
    lines = [heading(columns, width)]
    if not boards:
        lines.append(quiet_row("no board yet", width))
    for board in boards:
        lines += [_board_row(board, width), *_message_lines(board, width)]
    return lines


def cut_links(lines: Sequence[Line], width: int, rows: int) -> list[Line]:
    """The links in ``rows`` rows: without the heading first, then cut at the end."""
    if len(lines) <= rows:
        return list(lines)
    return cut(lines[1:], width, rows, "lines: make the window taller")
