"""The blocks of the screen, as lines: header, question, parts, pins, keys."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.bring_up.part_words import PART_WORDS, state_of
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    blank,
    fit,
    heading,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import OFF, ON
from panelbridge.dashboard.text.wrapping import wrap
from panelbridge.wiring.bring_up.prompts import BringUpView, LivePlace, PartState, PartStatus

_SHORT_CELLS = 13
"""Width of a pin in the block of pins: its name and its state."""
_BOARD_CELLS = 6
"""What the name of its board takes, where there are several."""
_NAME_CELLS = 14
"""What the part that the file has there takes, where there is room."""


def draw_header(view: BringUpView, width: int) -> list[Line]:
    """Panel, how far it is, and the boards."""
    done = sum(part.state is not PartState.OPEN for part in view.parts)
    faults = sum(part.state is PartState.FAULT for part in view.parts)
    line = [
        TextSpan(" Bring-up ", TextStyle.STRONG),
        TextSpan(f"{view.panel}   {done} of {len(view.parts)} parts"),
    ]
    if faults:
        line.append(TextSpan(f"   X {faults} with a fault", TextStyle.ALARM))
    for name, state in view.boards.items():
        ready = state == "ready"
        sign = ON if ready else OFF
        words = f"   {sign} {name} {'ready' if ready else 'not ready'}"
        line.append(TextSpan(words, TextStyle.GOOD if ready else TextStyle.CAUTION))
    return [row(line, width)]


def draw_question(view: BringUpView, width: int, rows: int) -> list[Line]:
    """What to do in large, what could hurt, what else to know, and the answers."""
    prompt = view.prompt
    inner = max(width - 3, 10)
    body: list[Line] = []
    if view.remark:
        style = TextStyle.QUIET
        body += [row([TextSpan(f" {text}", style)], width) for text in wrap(view.remark, inner)[:3]]
        body.append(blank(width))
    body += [
        row([TextSpan(f" ► {text}" if not at else f"   {text}", TextStyle.STRONG)], width)
        for at, text in enumerate(wrap(prompt.title, inner - 2))
    ]
    if view.waits_for:
        body.append(blank(width))
        body += _lines(f"! Waits for {view.waits_for}", inner, width, TextStyle.CAUTION)
        body += _lines("It goes on when the board is back.", inner, width, TextStyle.TEXT)
        keys = [("o", "go on without this board"), ("s", "leave this part out")]
        return _with_choices(body, keys, view, width, rows)
    if prompt.caution:
        body.append(blank(width))
        body += _lines(f"! CAUTION: {prompt.caution}", inner, width, TextStyle.CAUTION)
    body.append(blank(width))
    for text in prompt.lines:
        style = TextStyle.TEXT
        if text[:1] in "+-" and prompt.ask.kind == "change":
            style = TextStyle.GOOD if text[0] == "+" else TextStyle.CAUTION
            body.append(row([TextSpan(f" {text}", style)], width))
            continue
        body += _lines(text, inner, width, style)
    if view.slow and prompt.checks:
        body.append(blank(width))
        body += _lines("Nothing yet? Check:", inner, width, TextStyle.CAUTION)
        for text in prompt.checks:
            body += _lines(f"- {text}", inner, width, TextStyle.TEXT)
    keys = [(choice.key, choice.text) for choice in prompt.choices]
    return _with_choices(body, keys, view, width, rows)


def _with_choices(
    body: list[Line],
    keys: Sequence[tuple[str, str]],
    view: BringUpView,
    width: int,
    rows: int,
) -> list[Line]:
    """The answers at the bottom; what is above is cut first."""
    answers: list[Line] = [blank(width)]
    for key, text in keys:
        shown = {"enter": "Enter", "number": "1.."}.get(key, key.upper())
        words = text
        if key == "number":
            words = f"{text}: its number"
            if view.typed:
                words = f"number {view.typed}_ , then Enter"
        target = None if key == "number" else ClickTarget(f"key {key}")
        answers.append(
            row(
                [
                    TextSpan(" "),
                    TextSpan(fit(f" {shown} ", 7), TextStyle.KEY, target),
                    TextSpan(words, TextStyle.TEXT, target),
                ],
                width,
            )
        )
    room = max(rows - len(answers), 1)
    if len(body) > room:
        body = [*body[: room - 1], row([TextSpan(" ▼ make the window taller")], width)]
    lines = body + answers
    return lines[:rows] + [blank(width)] * (rows - len(lines))


def _lines(text: str, inner: int, width: int, style: TextStyle) -> list[Line]:
    return [row([TextSpan(f" {line}", style)], width) for line in wrap(text, inner)]


def draw_parts(view: BringUpView, width: int, rows: int) -> list[Line]:
    """Every part with its mark; the present one stays in sight."""
    lines = [heading([("Parts", width)], width)]
    current = next((at for at, part in enumerate(view.parts) if part.is_current), 0)
    room = max(rows - 1, 1)
    first = min(max(current - room // 2, 0), max(len(view.parts) - room, 0))
    for part in view.parts[first : first + room]:
        lines.append(_part_line(part, width))
    return lines[:rows] + [blank(width)] * (rows - len(lines))


def _part_line(part: PartStatus, width: int) -> Line:
    sign, word, style = PART_WORDS[part.state]
    target = ClickTarget(f"part {part.kind}:{part.name}")
    pointer = "►" if part.is_current else " "
    label_style = TextStyle.STRONG if part.is_current else TextStyle.TEXT
    word = "" if part.state is PartState.OPEN else f" {word}"
    return row(
        [
            TextSpan(pointer, TextStyle.STRONG, target),
            TextSpan(f"{sign} ", style, target),
            TextSpan(fit(part.label, width - 3 - len(word)), label_style, target),
            TextSpan(word, style, target),
        ],
        width,
    )


def draw_numbered(view: BringUpView, width: int, rows: int, first: int) -> list[Line]:
    """The things that can be answered by number.

    Args:
        view: with the question.
        width: of the lines.
        rows: their number.
        first: the one at the top; below zero: so that the one that is asked about is in sight.
    """
    things = view.prompt.numbered
    lines = [heading([("Which? (its number, or a click)", width)], width)]
    room = max(rows - 1, 1)
    columns = 1 if len(things) <= room else min(2, max(width // 24, 1))
    cells = width // columns
    per_page = room * columns
    if len(things) > per_page:
        per_page -= columns
    if first < 0:  # where the one that is asked about is in sight
        asked = view.prompt.ask.position
        first = (int(asked) - 1) // per_page * per_page if asked and per_page > 0 else 0
    shown = list(enumerate(things, start=1))[first : first + per_page]
    per_column = -(-len(shown) // columns) if shown else 0
    for at in range(per_column):
        spans: list[TextSpan] = []
        for column in range(columns):
            place = column * per_column + at
            if place < len(shown):
                number, text = shown[place]
                target = ClickTarget(f"number {number}")
                spans.append(TextSpan(f"{number:>3} ", TextStyle.KEY, target))
                spans.append(TextSpan(fit(text, cells - 4), TextStyle.TEXT, target))
        lines.append(row(spans, width))
    if len(things) > per_page:
        more = f" Page Up, Page Down: {len(things)} in all"
        lines.append(row([TextSpan(more, TextStyle.QUIET)], width))
    return lines[:rows] + [blank(width)] * (rows - len(lines))


def draw_places(view: BringUpView, width: int, rows: int) -> list[Line]:
    """Every pin that is watched; those of the panel first, then what has moved, then spare ones."""
    several = len(view.boards) > 1
    lines = [heading([(f"Pins now: {ON} closed to ground  {OFF} open", width)], width)]
    if not view.places:
        text = " the boards drive their outputs now; no pin is watched"
        lines.append(row([TextSpan(text, TextStyle.QUIET)], width))
    short = _SHORT_CELLS + (_BOARD_CELLS if several else 0)
    cells = short + _NAME_CELLS
    named = len(view.places) <= (width // cells) * (rows - 1)
    cells = cells if named else short
    columns = max(width // cells, 1)
    places = sorted(view.places, key=lambda one: (not one.moved, not one.used_by))
    shown = places[: columns * max(rows - 1, 0)]
    for first in range(0, len(shown), columns):
        line: list[TextSpan] = []
        for place in shown[first : first + columns]:
            line += row(_place_cell(place, several=several, named=named), cells)
        lines.append(row(line, width))
    return lines[:rows] + [blank(width)] * (rows - len(lines))


def _place_cell(place: LivePlace, *, several: bool, named: bool) -> list[TextSpan]:
    """A pin, its state, and the part that the file has there."""
    state, style = state_of(place)
    board = fit(place.place.board, _BOARD_CELLS - 1) + " " if several else ""
    name = TextStyle.TEXT if place.used_by else TextStyle.QUIET
    used = f" {words_of_name(place.used_by)}" if named else ""
    pin = TextSpan(f" {board}{place.place.pin} ", name)
    return [pin, TextSpan(state, style), TextSpan(used, TextStyle.QUIET)]


def draw_seen(lit: Sequence[str], horn: str, width: int) -> Line:
    """What a person would see and hear of a simulated panel."""
    seen = ", ".join(words_of_name(name) for name in lit) or "no lamp"
    text = f" You would see: {seen} lit" + (f"; hear: {horn}" if horn else "")
    return row([TextSpan(text, TextStyle.LIT_WHITE)], width)


def draw_keys(view: BringUpView, width: int, *, simulated: bool) -> Line:
    """The keys of the screen."""
    keys = [("s", "leave out"), ("b", "back"), ("r", "again"), ("q", "pause")]
    if view.finished:
        keys = [("b", "back"), ("q", "pause")]
    if simulated:
        keys = [("F2", "a hand does it"), ("F3", "it does all"), *keys]
    line: list[TextSpan] = []
    for key, does in keys:
        target = ClickTarget(f"key {key.lower()}")
        line.append(TextSpan(f" {key.upper()} ", TextStyle.KEY, target))
        line.append(TextSpan(f"{does} ", TextStyle.TEXT, target))
    return row(line, width)
