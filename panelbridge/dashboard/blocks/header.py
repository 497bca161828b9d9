"""The first lines: names, time, whether the boards are live, horn and reasons, faults."""

from __future__ import annotations

from rich.cells import cell_len

from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    clean,
    fit,
    fit_right,
    row,
    width_of,
)
from panelbridge.dashboard.text.state_words import HORN_WORDS, MISSING, UNKNOWN, time_text
from panelbridge.dashboard.text.wrapping import wrap_at_most
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import HornPattern

LABEL_WIDTH = 9
_SMALL_LABEL_WIDTH = 6
_PHASE_WIDTH = 14


def no_data_yet(snapshot: Snapshot) -> bool:
    """Whether nothing has been published yet."""
    return not snapshot.boards and not snapshot.logic.legs and not snapshot.panel_name


def live_boards(snapshot: Snapshot) -> frozenset[str]:
    """Names of the boards whose link is live."""
    return frozenset(board.name for board in snapshot.boards if board.state is LinkState.LIVE)


def boards_span(snapshot: Snapshot, short: bool) -> TextSpan:
    """How many boards are live; its width depends on the number of boards only."""
    if not snapshot.boards:
        return TextSpan("○ starting" if short else "○ no board yet", TextStyle.CAUTION)
    live, count = len(live_boards(snapshot)), len(snapshot.boards)
    all_live = live == count
    if short:
        words, widest = f"{live}/{count} live", f"{count}/{count} live"
    elif count == 1:
        words, widest = "board live" if all_live else "board NOT live", "board NOT live"
    else:
        words = widest = f"{live} of {count} boards live"
    words = f"{'●' if all_live else '!'} {words}"
    style = TextStyle.GOOD if all_live else TextStyle.ALARM
    return TextSpan(fit_right(words, len(widest) + 2), style)


def header_line(snapshot: Snapshot, title: str, width: int) -> Line:
    """Names on the left; boards, phase of flight and time on the right, in fixed places."""
    right = [boards_span(snapshot, short=width < 56)]
    if width >= 48:
        phase = "finished" if snapshot.finished else snapshot.phase
        right.append(TextSpan(fit_right(phase, _PHASE_WIDTH + 2), TextStyle.STRONG))
    right.append(TextSpan(f"{fit_right(time_text(snapshot.time_s), 7)} "))
    room = width - width_of(tuple(right)) - 1
    if room < 4:
        return row([TextSpan(" "), *right], width)
    names = [name for name in (snapshot.panel_name, snapshot.aircraft_name) if name]
    titled = [title, *names] if title not in names else names
    for words in (" ─ ".join(titled), " ─ ".join(names), *names[:1]):
        if words and cell_len(clean(words)) < room:
            break
    else:
        words = next(iter(names), title)
    left = [TextSpan(" "), TextSpan(fit(words, room - 1), TextStyle.HEADING), TextSpan(" ")]
    return row([*left, *right], width)


def horn_words(snapshot: Snapshot, horn_board: str | None) -> tuple[str, TextStyle]:
    """How the horn sounds and why; without a link or a horn, what is commanded."""
    pattern = snapshot.outputs.horn
    sign, words, style = HORN_WORDS[pattern]
    commanded = str(pattern)
    causes = "; ".join(snapshot.logic.horn_causes or snapshot.logic.warning_causes)
    if pattern is HornPattern.SILENT and causes:
        if snapshot.logic.horn_silenced:
            words = commanded = "silenced"
        style = TextStyle.CAUTION
    if horn_board is None:
        sign, words = MISSING, f"not fitted; commanded {commanded}"
    elif horn_board and horn_board not in live_boards(snapshot) and not no_data_yet(snapshot):
        sign, words = UNKNOWN, f"no link; commanded {commanded}"
        style = TextStyle.CAUTION if style is TextStyle.QUIET else style
    return f"{sign} {words}{f': {causes}' if causes else ''}", style


def _labelled(
    label: str, text: str, style: TextStyle, width: int, least: int, most: int
) -> list[Line]:
    """``text`` after a label, wrapped below itself, in ``least`` to ``most`` lines."""
    cells = LABEL_WIDTH if width >= 36 else _SMALL_LABEL_WIDTH
    lines = wrap_at_most(text, max(width - cells - 1, 4), most)
    lines += [""] * (least - len(lines))
    return [
        row(
            [
                TextSpan(fit("" if at else f" {label}", cells), TextStyle.HEADING),
                TextSpan(line, style),
            ],
            width,
        )
        for at, line in enumerate(lines)
    ]


def horn_lines(
    snapshot: Snapshot, horn_board: str | None, width: int, least: int, most: int
) -> list[Line]:
    """The horn and its causes.

    Args:
        snapshot: to show.
        horn_board: name of its board; empty: unknown; None: the panel has no horn.
        width: of the lines.
        least: lines that are always there, so that nothing below moves when the horn sounds.
        most: lines for many causes.
    """
    text, style = horn_words(snapshot, horn_board)
    return _labelled("Horn", text, style, width, least, most)


def fault_lines(snapshot: Snapshot, width: int, most: int, *, links: str = "below") -> list[Line]:
    """The faults, a line or more each; those that do not fit are counted.

    Args:
        snapshot: to show.
        width: of the lines.
        most: lines for many faults.
        links: where the links are shown.
    """
    faults = snapshot.logic.faults
    if not faults:
        away = [board.name for board in snapshot.boards if board.state is not LinkState.LIVE]
        text, style = "○ none", TextStyle.QUIET
        if no_data_yet(snapshot):
            text, style = "starting: waiting for the first data", TextStyle.CAUTION
        elif away:
            text, style = f"! not live: {', '.join(away)}; see Link {links}", TextStyle.CAUTION
        return _labelled("Faults", text, style, width, 1, 1)
    lines: list[Line] = []
    for at, fault in enumerate(faults):
        label, text = "" if at else "Faults", f"X {fault}"
        left, rest = most - len(lines), len(faults) - at - 1
        if left == 1 and rest:
            more = f" (+{rest} more)"
            text = fit(text, max(width - LABEL_WIDTH - 1 - len(more), 4)).rstrip() + more
            lines += _labelled(label, text, TextStyle.ALARM, width, 1, 1)
            break
        lines += _labelled(label, text, TextStyle.ALARM, width, 1, max(left - rest, 1))
    return lines
