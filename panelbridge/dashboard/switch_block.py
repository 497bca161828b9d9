"""The switches: what they are moved with, and what the board reports of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from panelbridge.dashboard.pieces import Line, Look, Piece, Target, bar, fit, heading, row
from panelbridge.dashboard.ports import SwitchControl
from panelbridge.dashboard.words import HANDLE_WORDS, UNKNOWN, yes_no
from panelbridge.signals import HandleContacts, SwitchState

LEVER_CELLS = 11
"""Cells of a lever's bar: a click on one puts the lever at 0, 10, ... 100 %."""
ROW_WIDTH = 39
"""In so many cells a switch has its name, key, grip and report side by side."""
_KEY_WIDTH = 5
_GRIP_WIDTH = 12
HALF = 0.5
_NAME = 14
_LONGEST = 28
_SHORT: Mapping[str, str] = {
    "lever_horn_silence": "Horn (lever)",
    "second_steering_button": "Steering 2",
    "downlock_release": "Lock release",
    "aux_pump": "Aux pump",
    "emergency_extend": "Emerg. gear",
    "cold_weather": "Cold weather",
    "parking_brake": "Park. brake",
    "night": "Night",
    "fluid_test": "Fluid test",
    "emergency_brake": "Emerg. brake",
    "left_brake": "Left brake",
    "right_brake": "Right brake",
    "tiller": "Tiller",
}
"""Words for columns that do not hold a switch's own."""
_PUSHED = ("released", "pressed")


@dataclass(frozen=True, slots=True)
class SwitchDesk:
    """The switches as the screen offers them.

    Attributes:
        switches: in the order to show.
        keys: what to press for each, as shown; empty for a real panel.
        positions: where each was put; empty for a real panel.
        simulated: they can be moved from the screen.
    """

    switches: Sequence[SwitchControl] = ()
    keys: Mapping[str, str] = field(default_factory=dict)
    positions: Mapping[str, str | float] = field(default_factory=dict)
    simulated: bool = False


def title_of(control: SwitchControl) -> str:
    """The switch's words with a capital at their start; its name when it has none."""
    words = control.label or control.name.replace("_", " ")
    return words[:1].upper() + words[1:]


def name_piece(control: SwitchControl, width: int) -> Piece:
    """The switch's words in ``width`` cells: shorter ones where its own do not fit."""
    title = title_of(control)
    if len(title) > width - 2:  # a space before it, and one after
        title = _SHORT.get(control.name, title)
    return Piece(fit(f" {title}", width))


def seen(control: SwitchControl, switches: SwitchState, width: int) -> Piece:
    """What the board reports of a switch."""
    fraction = getattr(switches, f"{control.name}_fraction", None)
    if control.form == "lever":
        text = f"{UNKNOWN} unknown" if fraction is None else lever_text(control, fraction)
        return Piece(fit(text, width), Look.QUIET if fraction is None else Look.STRONG)
    value = getattr(switches, control.name, None)
    if control.form == "handle":
        sign, word, look = HANDLE_WORDS[value or HandleContacts.UNKNOWN]
        return Piece(fit(f"{sign} {word}", width), look)
    if fraction is not None:  # a lever's place in the signals, wired as a contact
        value = fraction >= HALF
    no, yes = words_for(control)
    return yes_no(value, yes, no, width)


def words_for(control: SwitchControl) -> tuple[str, str]:
    """The two sides of a contact in words: its positions, or shorter words for a push."""
    if control.positions and control.positions != _PUSHED:
        return control.positions[0], control.positions[-1]
    return ("free", "set") if control.form == "toggle" else ("free", "pressed")


def lever_text(control: SwitchControl, fraction: float) -> str:
    """Where a lever stands: in percent, or on which side of the middle that it rests in."""
    if control.rest != HALF:
        return f"{fraction:4.0%}"
    aside = round((fraction - HALF) * 200)
    return "centre" if not aside else f"{'R' if aside > 0 else 'L'} {abs(aside):3d}%"


def _handle_grip(control: SwitchControl, position: str | float) -> list[Piece]:
    line: list[Piece] = []
    for end in control.positions:
        here = end == position
        text = f"[{end.upper()}]" if here else f" {end} "
        look = Look.HELD if here else Look.GRIP
        line.append(Piece(text, look, Target(control.name, end)))
    return line


def _button_grip(control: SwitchControl, position: str | float) -> list[Piece]:
    target = Target(control.name)
    if position == control.positions[-1]:
        return [Piece("[ HELD ]", Look.HELD, target)]
    return [Piece("( push )", Look.GRIP, target)]


def _toggle_grip(control: SwitchControl, position: str | float) -> list[Piece]:
    free, operated = control.positions
    on = position == operated
    no, yes = words_for(control)
    text = f"[ {yes.upper()} ]" if on else f"( {no} )"
    target = Target(control.name, free if on else operated)
    return [
        Piece(fit(text, min(len(text), _GRIP_WIDTH - 1)), Look.HELD if on else Look.GRIP, target)
    ]


def _lever_grip(control: SwitchControl, position: str | float) -> list[Piece]:
    fraction = position if isinstance(position, float) else 0.0
    # The cell that was clicked is the last full one; at 0 none is.
    full = round(fraction * (LEVER_CELLS - 1)) + (fraction > 0)
    signs = bar(full / LEVER_CELLS, LEVER_CELLS)
    return [
        Piece(sign, Look.GRIP, Target(control.name, at / (LEVER_CELLS - 1)))
        for at, sign in enumerate(signs)
    ]


def grip(control: SwitchControl, position: str | float) -> list[Piece]:
    """What the mouse can take hold of; shows where the switch was put."""
    draw = {
        "handle": _handle_grip,
        "button": _button_grip,
        "toggle": _toggle_grip,
        "lever": _lever_grip,
    }[control.form]
    return draw(control, position)


def switch_block(
    desk: SwitchDesk, switches: SwitchState, width: int, *, note: bool = True
) -> list[Line]:
    """A heading and a row a switch: name, key, grip, and what the board reports.

    In less than 39 cells the grip is left out: the keys still work, a click on the report of a
    button or of a handle moves it, and so does the wheel over a lever's. Under those of a real
    panel stands a ``note`` that says where they are moved.
    """
    if not desk.simulated:
        return _real_block(desk, switches, width, note=note)
    with_grip = width >= ROW_WIDTH
    name_width = _NAME if width >= 28 else max(width - _NAME, 0)
    if with_grip:
        # What is left over goes to the names, for there are longer ones.
        name_width += min(max(width - ROW_WIDTH - 2, 0), _LONGEST - _NAME)
    columns = [("Switch", name_width), ("Key", _KEY_WIDTH)]
    if with_grip:
        columns.append(("Move", _GRIP_WIDTH))
    lines = [heading([*columns, ("Seen", 5)], width)]
    for control in desk.switches:
        position = desk.positions.get(control.name, "")
        key = Piece(fit(desk.keys.get(control.name, ""), _KEY_WIDTH), Look.KEY)
        line = [name_piece(control, name_width), key]
        if with_grip:
            line += row(grip(control, position), _GRIP_WIDTH)
            line.append(
                seen(control, switches, max(width - name_width - _KEY_WIDTH - _GRIP_WIDTH, 0))
            )
        else:
            line.append(_movable_report(control, switches, position))
        lines.append(row(line, width))
    return lines


def _movable_report(control: SwitchControl, switches: SwitchState, position: str | float) -> Piece:
    report = seen(control, switches, 10)
    if control.form == "button":
        look = Look.HELD if position == control.positions[-1] else report.look
        return Piece(report.text, look, Target(control.name))
    if control.form in ("handle", "toggle"):
        other = next((end for end in control.positions if end != position), position)
        return Piece(report.text, report.look, Target(control.name, other))
    return Piece(report.text, report.look, Target(control.name))


def _real_block(desk: SwitchDesk, switches: SwitchState, width: int, *, note: bool) -> list[Line]:
    name_width = min(max(width - 13, 17), 27) if width >= 30 else _NAME
    lines = [heading([("Switch", name_width), ("Seen", 5)], width)]
    for control in desk.switches:
        name = name_piece(control, name_width)
        lines.append(row([name, seen(control, switches, max(width - name_width, 0))], width))
    if note:
        lines.append(row([Piece(" Move them on the panel itself", Look.QUIET)], width))
    return lines
