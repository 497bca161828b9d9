"""The first lines: who and when, are the boards alive, why does the horn sound, what is broken."""

from __future__ import annotations

from rich.cells import cell_len

from panelbridge.dashboard.pieces import (
    Line,
    Look,
    Piece,
    clean,
    fit,
    fit_right,
    row,
    width_of,
    wrap_few,
)
from panelbridge.dashboard.ports import HornLook
from panelbridge.dashboard.words import HORN_WORDS, MISSING, UNKNOWN, time_text
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import HornPattern

LABEL = 9
PHASE = 14
"""Cells for the phase of the flight."""
_SMALL_LABEL = 6


def no_data_yet(snapshot: Snapshot) -> bool:
    """Nothing has been published so far."""
    return not snapshot.boards and not snapshot.logic.legs and not snapshot.panel_name


def boards_words(snapshot: Snapshot, short: bool) -> Piece:
    """How many boards are alive; always of the same width for the same number of boards."""
    if not snapshot.boards:
        return Piece("○ starting" if short else "○ no board yet", Look.CAUTION)
    live = sum(board.state is LinkState.LIVE for board in snapshot.boards)
    count = len(snapshot.boards)
    all_live = live == count
    if short:
        words, widest = f"{live}/{count} live", f"{count}/{count} live"
    elif count == 1:
        words, widest = "board live" if all_live else "board NOT live", "board NOT live"
    else:
        words = widest = f"{live} of {count} boards live"
    words = f"{'●' if all_live else '!'} {words}"
    return Piece(fit_right(words, len(widest) + 2), Look.GOOD if all_live else Look.ALARM)


def header(snapshot: Snapshot, title: str, width: int) -> Line:
    """Names on the left; boards, phase of flight and time on the right, in fixed places."""
    right = [boards_words(snapshot, short=width < 56)]
    if width >= 48:
        phase = "finished" if snapshot.finished else snapshot.phase
        right.append(Piece(fit_right(phase, PHASE + 2), Look.STRONG))
    right.append(Piece(f"{fit_right(time_text(snapshot.time_s), 7)} "))
    room = width - width_of(tuple(right)) - 1
    if room < 4:
        return row([Piece(" "), *right], width)
    names = [name for name in (snapshot.panel_name, snapshot.aircraft_name) if name]
    titled = [title, *names] if title not in names else names
    for words in (" ─ ".join(titled), " ─ ".join(names), *names[:1]):
        if words and cell_len(clean(words)) < room:
            break
    else:
        words = next(iter(names), title)
    return row([Piece(" "), Piece(fit(words, room - 1), Look.HEADING), Piece(" "), *right], width)


def live_boards(snapshot: Snapshot) -> frozenset[str]:
    """Names of the boards whose link is live."""
    return frozenset(board.name for board in snapshot.boards if board.state is LinkState.LIVE)


def horn_words(snapshot: Snapshot, horn: HornLook) -> tuple[str, Look]:
    """How the horn sounds, and why; what it should do where it cannot be known or heard."""
    pattern = snapshot.outputs.horn
    sign, words, look = HORN_WORDS[pattern]
    causes = "; ".join(snapshot.logic.warning_causes)
    if pattern is HornPattern.SILENT and causes:
        # Silent with a cause: silenced by the pilot, or not heard for another reason.
        if snapshot.logic.horn_silenced:
            words = "silenced"
        look = Look.CAUTION
    if not horn.fitted:
        sign, words = MISSING, f"none fitted; {_asked_words(pattern, words)}"
    elif horn.board and horn.board not in live_boards(snapshot) and not no_data_yet(snapshot):
        sign, words = UNKNOWN, f"no link; {_asked_words(pattern, words)}"
        look = Look.CAUTION if look is Look.QUIET else look
    return f"{sign} {words}{f': {causes}' if causes else ''}", look


def _asked_words(pattern: HornPattern, words: str) -> str:
    """``words`` for a horn of which it is not known that it obeys."""
    if pattern is HornPattern.SILENT:
        return f"would be {words}"
    return f"would {words.replace('SOUNDS', 'SOUND')}"


def labelled(label: str, text: str, look: Look, width: int, least: int, most: int) -> list[Line]:
    """``text`` after a label, wrapped under itself, in ``least`` to ``most`` lines."""
    cells = LABEL if width >= 36 else _SMALL_LABEL
    lines = wrap_few(text, max(width - cells - 1, 4), most)
    lines += [""] * (least - len(lines))
    return [
        row(
            [Piece(fit("" if at else f" {label}", cells), Look.HEADING), Piece(line, look)],
            width,
        )
        for at, line in enumerate(lines)
    ]


def horn_lines(snapshot: Snapshot, horn: HornLook, width: int, least: int, most: int) -> list[Line]:
    """The horn and its causes.

    Args:
        snapshot: to show.
        horn: what is known of the horn itself.
        width: of the lines.
        least: lines that always stand, so that nothing below moves when the horn sounds.
        most: lines for many causes.
    """
    text, look = horn_words(snapshot, horn)
    return labelled("Horn", text, look, width, least, most)


def fault_lines(
    snapshot: Snapshot, width: int, least: int, most: int, *, links: str = "below"
) -> list[Line]:
    """What is broken, a line or more each; ``least`` lines stand even when nothing is.

    Args:
        snapshot: to show.
        width: of the lines.
        least: lines that always stand.
        most: lines for many faults.
        links: where the links are shown.
    """
    faults = snapshot.logic.faults
    if no_data_yet(snapshot):
        words = "starting: waiting for the first news of the panel"
        return labelled("Faults", words, Look.CAUTION, width, least, least)
    if not faults:
        away = [board.name for board in snapshot.boards if board.state is not LinkState.LIVE]
        if away:
            words = f"! not live: {', '.join(away)}; see Link {links}"
            return labelled("Faults", words, Look.CAUTION, width, least, least)
        return labelled("Faults", "○ none", Look.QUIET, width, least, least)
    lines: list[Line] = []
    for at, fault in enumerate(faults):
        left = most - len(lines)
        rest = len(faults) - at - 1
        if left == 1 and rest:
            more = f" (+{rest} more)"
            text = fit(f"X {fault}", max(width - LABEL - 1 - len(more), 4)).rstrip() + more
            lines += labelled("" if at else "Faults", text, Look.ALARM, width, 1, 1)
            break
        lines += labelled(
            "" if at else "Faults",
            f"X {fault}",
            Look.ALARM,
            width,
            1,
            left - rest if left > rest else 1,
        )
    while len(lines) < least:
        lines += labelled("", "", Look.TEXT, width, 1, 1)
    return lines
