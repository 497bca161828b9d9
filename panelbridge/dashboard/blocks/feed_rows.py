"""The feed below the boards: a row for its data and each of its targets, and what was refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, fit, fit_right, row
from panelbridge.dashboard.text.state_words import OFF, ON
from panelbridge.dashboard.text.wrapping import wrap_at_most
from panelbridge.feeds import FeedHealth, TargetHealth

MOST_REASONS = 3
"""The most frequent reasons of what was refused are named, and the others counted."""
_MESSAGE_LINES = 2
_WIDE = 56
_NAME_WIDTH, _NARROW_NAME = 16, 12


def draw_feed(feed: FeedHealth, name: str, width: int, *, fresh: bool) -> list[Line]:
    """The rows of a feed that comes from outside; none for one that is built in.

    Args:
        feed: how it is.
        name: the feed's.
        width: of the rows.
        fresh: its data can be trusted.
    """
    lines: list[Line] = []
    if feed.way:
        state = _state(feed.is_open, fresh, "fresh", "NO DATA")
        lines.append(_row(name, state, "in", feed.messages, feed.refused, feed.way, width))
        lines += _notes(feed.way, feed.is_open, feed.text, feed.refused, feed.last_refused, width)
    for target in feed.targets:
        lines += _target(target, width)
    return lines


def _target(target: TargetHealth, width: int) -> list[Line]:
    sign, word, style = _state(target.is_open, target.is_used, "sending", "held back")
    if target.is_open and not target.is_used:
        sign, style = OFF, TextStyle.QUIET
    state = (sign, word, style)
    way, refused = target.way, target.refused
    return [
        _row(f"to {target.name}", state, "out", target.sent, refused, way, width),
        *_notes(way, target.is_open, target.text, refused, target.last_refused, width),
    ]


_State = tuple[str, str, TextStyle]


def _state(is_open: bool, works: bool, good: str, bad: str) -> _State:
    if not is_open:
        return "!", "NOT OPEN", TextStyle.ALARM
    return (ON, good, TextStyle.GOOD) if works else ("!", bad, TextStyle.ALARM)


def _row(
    name: str,
    state: _State,
    what: str,
    count: int,
    refused: Mapping[str, int],
    way: str,
    width: int,
) -> Line:
    sign, word, style = state
    wide = width >= _WIDE
    line = [
        TextSpan(fit(f" {name}", _NAME_WIDTH if wide else _NARROW_NAME), TextStyle.STRONG),
        TextSpan(f" {fit(f'{sign} {word}', 12)}", style),
    ]
    if wide:
        lost = sum(refused.values())
        line += [
            TextSpan(fit_right(f"{count} {what}", 12)),
            TextSpan(
                fit_right(f"{lost} refused", 14), TextStyle.CAUTION if lost else TextStyle.QUIET
            ),
            TextSpan(f"   {way}", TextStyle.QUIET),
        ]
    return row(line, width)


def _notes(
    way: str, is_open: bool, text: str, refused: Mapping[str, int], last: str, width: int
) -> Sequence[Line]:
    """Why it is not open; what was refused, and how often."""
    found = [] if is_open else [(f"{way}: {text}", TextStyle.ALARM)]
    if refused:
        found.append((refused_text(refused, last), TextStyle.CAUTION))
    return [
        row([TextSpan(f"   {line}", style)], width)
        for note, style in found
        for line in wrap_at_most(note, max(width - 4, 4), _MESSAGE_LINES)
    ]


def refused_text(refused: Mapping[str, int], last: str = "") -> str:
    """``refused: wrong column count 12, empty message 3; last: ...``."""
    reasons = [*refused.items()]
    text = ", ".join([f"{reason} {count}" for reason, count in reasons[:MOST_REASONS]])
    others = sum(count for _, count in reasons[MOST_REASONS:])
    text = f"refused: {text}, others {others}" if others else f"refused: {text}"
    return f"{text}; last: {last}" if last else text
