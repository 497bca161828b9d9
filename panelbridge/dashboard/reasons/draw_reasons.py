"""The reasons of one subject as lines: what decides, what would change it, the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.reasons.subjects import HORN, Subject
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    blank,
    heading,
    quiet_row,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import OFF, ON, time_text
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.link.session import LinkState
from panelbridge.signals import Explanation, Reason

_RULE = "rule: "


def draw_reasons(
    subject: Subject, content: ScreenContent, width: int, *, can_ask: bool
) -> list[Line]:
    """All lines about a subject.

    Args:
        subject: that was chosen.
        content: with the answer of the run in its snapshot.
        width: of every line.
        can_ask: the run can be asked.
    """
    title = f"{subject.about}: {subject.label}" if subject.about else subject.label
    lines = _wrapped([(title, TextStyle.STRONG)], width)
    found = content.snapshot.explanations.get(subject.name)
    if found is None:
        words = "asking the run ..." if can_ask else "this run cannot be asked"
        return [*lines, quiet_row(words, width)]
    state = words_of_name(found.state)
    when = _since(found.since_s, content.snapshot.time_s)
    lines += _wrapped([(f"{state}{when}", subject.style)], width)
    lines += _link_lines(subject, content, width)
    lines += _sections(found, width)
    return lines


def _sections(found: Explanation, width: int) -> Iterator[Line]:
    is_value = not any(one.condition.startswith(_RULE) for one in found.reasons)
    first = [one for one in found.reasons if one.decides]
    rest = [one for one in found.reasons if not one.decides]
    yield blank(width)
    yield heading([("It follows from" if is_value else "What decides", width)], width)
    if not first:
        yield quiet_row("nothing that the program could name", width)
    for one in first:
        yield from _reason_lines(one, width, signs=not is_value)
    if not is_value:
        yield blank(width)
        yield heading([("What would change it", width)], width)
        for way in found.changes:
            yield from _wrapped([(", and ".join(way), TextStyle.TEXT)], width, "- ")
        if not found.changes:
            yield quiet_row("no change of a few conditions", width)
    if rest:
        yield blank(width)
        yield heading([("Looked at too", width)], width)
        for one in rest:
            yield from _reason_lines(one, width, signs=True)


def _reason_lines(reason: Reason, width: int, *, signs: bool) -> list[Line]:
    is_rule = reason.condition.startswith(_RULE)
    name = reason.condition.removeprefix(_RULE) if is_rule else words_of_name(reason.condition)
    detail = reason.detail if signs else words_of_name(reason.detail)
    text = f"{name}: {detail}" if detail else name
    if reason.since_s is not None:
        text += f", since {time_text(reason.since_s, tenths=True)}"
    sign = (ON if reason.holds else OFF) if signs else "-"
    style = TextStyle.STRONG if is_rule and reason.decides else TextStyle.TEXT
    if not reason.decides:
        style = TextStyle.QUIET
    indent = "" if is_rule or not signs else "  "
    return _wrapped([(text, style)], width, f"{indent}{sign} ")


def _link_lines(subject: Subject, content: ScreenContent, width: int) -> list[Line]:
    """That the real lamp shows something else, for its board is not connected."""
    boards = {look.name: look.board for look in content.lamp_looks}
    board = content.horn_board if subject.name.startswith(HORN) else boards.get(subject.name)
    states = {one.name: one.state for one in content.snapshot.boards}
    if not board or states.get(board, LinkState.LIVE) is LinkState.LIVE:
        return []
    text = f"! the board {board} is not connected: on the panel itself it is idle"
    return _wrapped([(text, TextStyle.CAUTION)], width)


def _since(since_s: float | None, now_s: float) -> str:
    if since_s is None:
        return ""
    seconds = max(now_s - since_s, 0.0)
    lasts = f"{seconds:.1f} s" if seconds < 60.0 else f"{time_text(seconds)} min"
    return f" since {time_text(since_s, tenths=True)}, for {lasts}"


def _wrapped(parts: Sequence[tuple[str, TextStyle]], width: int, before: str = "") -> list[Line]:
    lines: list[Line] = []
    for text, style in parts:
        for at, part in enumerate(wrap(text, max(width - len(before) - 1, 8))):
            lead = before if not at else " " * len(before)
            lines.append(row([TextSpan(f" {lead}{part}", style)], width))
    return lines
