"""The lines of the show panel: its time, the phases of the flight, what can be broken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from rich.cells import cell_len

from panelbridge.dashboard.show.show_controls import Breakable
from panelbridge.dashboard.show.show_line import draw_show_line, rate_text
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    fit,
    heading,
    quiet_row,
    row,
    width_of,
)
from panelbridge.dashboard.text.state_words import time_text
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.engine.snapshot import Snapshot

PHASE_KEYS = "1234567890"
PHASE, PART = "phase ", "part "
"""How the names of click targets begin, before the index of a phase or the words of a part."""
_LEAST_COLUMN = 36
_TIME_KEYS = (
    ("space", "Space"),
    ("step_short", ","),
    ("step_long", "."),
    ("slower", "-"),
    ("faster", "+"),
)
"""Orders about the time, as click targets name them, each with its key."""


class ShowView(Struct, frozen=True):
    """What the panel shows besides the snapshot.

    Attributes:
        breakables: those that fit what was typed.
        total: how many there are in all.
        phases: of the flight.
        fixed_time: why the time cannot be held; empty when it can.
        typed: what the list is narrowed to.
        chosen: index of the part that Enter breaks or mends.
    """

    breakables: Sequence[Breakable]
    total: int
    phases: Sequence[str] = ()
    fixed_time: str = ""
    typed: str = ""
    chosen: int = 0


def narrowed(breakables: Iterable[Breakable], typed: str) -> list[Breakable]:
    """The parts in whose words, or whose room's name, ``typed`` begins at the start of a word.

    Spaces are left out (``lefthu``): the space bar pauses.
    """
    wanted = typed.lower()
    return [
        part
        for part in breakables
        if any(_has(text.lower().split(), wanted) for text in (part.words, part.room))
    ]


def _has(words: Sequence[str], wanted: str) -> bool:
    return any("".join(words[at:]).startswith(wanted) for at in range(len(words)))


def draw_show_panel(snapshot: Snapshot, view: ShowView, width: int, height: int) -> list[Line]:
    """The panel in exactly ``height`` lines."""
    lines = [
        heading([("Show", max(width - 24, 8)), ("F8 or Escape closes", 24)], width),
        *_time_lines(snapshot, view, width),
        *_phase_lines(snapshot, view, width),
        _list_head(snapshot, view, width),
    ]
    # The panel covers the line that every page has of what is broken.
    last = [draw_show_line(snapshot.show, width)] if snapshot.show.broken else []
    lines += _part_lines(snapshot, view, width, max(height - len(lines) - len(last), 1))
    return [*lines[: height - len(last)], *last]


def _key(key: str, does: str, name: str) -> list[TextSpan]:
    target = ClickTarget(name)
    return [
        TextSpan(" "),
        TextSpan(f" {key} ", TextStyle.KEY, target),
        TextSpan(does, TextStyle.GRIP, target),
    ]


def _time_lines(snapshot: Snapshot, view: ShowView, width: int) -> list[Line]:
    if view.fixed_time:
        return [quiet_row(line, width) for line in wrap(view.fixed_time, width - 2)]
    show = snapshot.show
    now = time_text(snapshot.time_s, tenths=True)
    if show.is_paused:
        state = TextSpan(f" ! PAUSED at {now} ", TextStyle.LIT_AMBER)
    elif show.jumping_to:
        state = TextSpan(f" > flying to {show.jumping_to} {now} ", TextStyle.LIT_BLUE)
    else:
        state = TextSpan(f" running {now} ", TextStyle.STRONG)
    does = {
        "space": "go on" if show.is_paused else "pause",
        "step_short": "step 0.1 s",
        "step_long": "step 1 s",
        "slower": "slower",
        "faster": "faster",
    }
    keys = [span for name, key in _TIME_KEYS for span in _key(key, does[name], name)]
    rate = TextSpan(f" {rate_text(show.rate)} ", TextStyle.STRONG)
    if cell_len(state.text) + cell_len(rate.text) + width_of(tuple(keys)) <= width:
        return [row([state, *keys, rate], width)]
    return [row([state, rate], width), row(keys, width)]


def _phase_lines(snapshot: Snapshot, view: ShowView, width: int) -> list[Line]:
    if not view.phases or view.fixed_time:
        return []
    lines: list[list[TextSpan]] = [[TextSpan(" Fly to", TextStyle.HEADING)]]
    for at, name in enumerate(view.phases):
        key = PHASE_KEYS[at] if at < len(PHASE_KEYS) else " "
        target = ClickTarget(f"{PHASE}{at}")
        is_here = at == snapshot.show.phase
        span = TextSpan(
            f"{'[' if is_here else ' '}{name}{']' if is_here else ' '}",
            TextStyle.HELD if is_here else TextStyle.GRIP,
            target,
        )
        cell = [TextSpan(" "), TextSpan(f"{key} ", TextStyle.KEY, target), span]
        if width_of(tuple(lines[-1])) + width_of(tuple(cell)) > width:
            lines.append([TextSpan("       ")])
        lines[-1] += cell
    return [row(line, width) for line in lines]


def _list_head(snapshot: Snapshot, view: ShowView, width: int) -> Line:
    count = len(view.breakables)
    of = f"{count} of {view.total}" if view.typed else f"{view.total}"
    spans = [
        TextSpan(" Break or mend ", TextStyle.HEADING),
        TextSpan(f"type to narrow: {view.typed}", TextStyle.TEXT),
        TextSpan("_", TextStyle.STRONG),
        TextSpan(f"  {of}", TextStyle.QUIET),
        *_key("Enter", "break or mend", "enter"),
    ]
    if snapshot.show.broken:
        spans += _key("Del", "mend all", "mend_all")
    return row(spans, width)


def _part_lines(snapshot: Snapshot, view: ShowView, width: int, rows: int) -> list[Line]:
    """What can be broken in columns, with the chosen part in sight."""
    if not view.breakables:
        empty = quiet_row("nothing that can be broken is named so", width)
        return [empty, *[row([], width)] * (rows - 1)]
    columns = max(width // _LEAST_COLUMN, 1)
    cell = width // columns
    on_page = rows * columns
    first = view.chosen // on_page * on_page
    shown = list(enumerate(view.breakables))[first : first + on_page]
    lines: list[Line] = []
    for at in range(rows):
        spans = [
            span
            for index, part in shown[at::rows][:columns]
            for span in _part(part, snapshot.show.broken, cell, is_chosen=index == view.chosen)
        ]
        lines.append(row(spans, width))
    return lines


def _part(part: Breakable, broken: Sequence[str], width: int, *, is_chosen: bool) -> list[TextSpan]:
    is_broken = part.words in broken
    text = f"{'>' if is_chosen else ' '}{'X' if is_broken else ' '} {part.words}"
    style = TextStyle.LIT_AMBER if is_broken else TextStyle.TEXT
    if is_chosen:
        style = TextStyle.HELD
    target = ClickTarget(f"{PART}{part.words}")
    return [TextSpan(fit(text, width - 1), style, target), TextSpan(" ")]
