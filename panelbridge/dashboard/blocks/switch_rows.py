"""The switches: a row each, with its keys, its grip and the reported position."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from panelbridge.dashboard.interfaces import SwitchControl
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    bar,
    fit,
    heading,
    quiet_row,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import HANDLE_WORDS, unknown_span, yes_no_span
from panelbridge.signals import HandleContacts, SwitchState

LEVER_CELLS = 11
"""Cells of a lever's bar: a click on one puts the lever at 0, 10, ... 100 %."""
ROW_WIDTH = 39
"""Least width of a row with name, key, grip and report."""
_KEY_WIDTH = 5
_GRIP_WIDTH = 12
_NAME_WIDTH = 14
_LONGEST_NAME = 28
_HALF = 0.5
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
"""Labels for columns that are too narrow for a switch's own."""
_BUTTON_POSITIONS = ("released", "pressed")


class SwitchesView(Struct, frozen=True):
    """The switches as the screen shows them.

    Attributes:
        controls: in display order.
        keys: the keys of each, as shown; empty for a real panel.
        positions: the last position of each; empty for a real panel.
        simulated: they can be moved from the screen.
    """

    controls: Sequence[SwitchControl] = ()
    keys: Mapping[str, str] = field(default_factory=dict)
    positions: Mapping[str, str | float] = field(default_factory=dict)
    simulated: bool = False


def title_of(control: SwitchControl) -> str:
    """The switch's label with a capital at its start; its name when it has none."""
    words = control.label or words_of_name(control.name)
    return words[:1].upper() + words[1:]


def name_span(control: SwitchControl, width: int) -> TextSpan:
    """The switch's label in ``width`` cells: a shorter one where its own does not fit."""
    title = title_of(control)
    if len(title) > width - 2:  # a space before it, and one after
        title = _SHORT.get(control.name, title)
    return TextSpan(fit(f" {title}", width))


def report_span(control: SwitchControl, switches: SwitchState, width: int) -> TextSpan:
    """What the board reports of a switch."""
    value = switches.get(control.name)
    if control.form == "lever":
        if value is None:
            return unknown_span(width)
        return TextSpan(fit(lever_text(control, value), width), TextStyle.STRONG)
    if control.form == "handle":
        sign, word, style = HANDLE_WORDS[value or HandleContacts.UNKNOWN]
        return TextSpan(fit(f"{sign} {word}", width), style)
    if value is not None:  # a lever may be wired as a contact
        value = value >= _HALF
    no, yes = words_for(control)
    return yes_no_span(value, yes, no, width)


def words_for(control: SwitchControl) -> tuple[str, str]:
    """The two sides of a contact: its positions, or shorter words for a button's."""
    if control.positions and control.positions != _BUTTON_POSITIONS:
        return control.positions[0], control.positions[-1]
    return ("off", "set") if control.form == "toggle" else ("off", "pressed")


def lever_text(control: SwitchControl, fraction: float) -> str:
    """Position of a lever: in percent, or left and right of the middle if it rests there."""
    if control.rest != _HALF:
        return f"{fraction:4.0%}"
    aside = round((fraction - _HALF) * 200)
    return "centre" if not aside else f"{'R' if aside > 0 else 'L'} {abs(aside):3d}%"


def grip_spans(control: SwitchControl, position: str | float) -> list[TextSpan]:
    """The part of a row that the mouse moves; it shows the last position."""
    name = control.name

    def grip(text: str, held: bool, end: str | float | None = None) -> TextSpan:
        return TextSpan(text, TextStyle.HELD if held else TextStyle.GRIP, ClickTarget(name, end))

    if control.form == "handle":
        return [
            grip(f"[{end.upper()}]" if end == position else f" {end} ", end == position, end)
            for end in control.positions
        ]
    if control.form == "lever":
        fraction = position if isinstance(position, float) else 0.0
        # The cell that was clicked is the last full one; at 0 none is.
        full = round(fraction * (LEVER_CELLS - 1)) + (fraction > 0)
        signs = bar(full / LEVER_CELLS, LEVER_CELLS)
        return [grip(sign, False, at / (LEVER_CELLS - 1)) for at, sign in enumerate(signs)]
    on = position == control.positions[-1]
    if control.form == "button":
        return [grip("[ HELD ]" if on else "( push )", on)]
    no, yes = words_for(control)
    text = f"[ {yes.upper()} ]" if on else f"( {no} )"
    other_side = control.positions[0 if on else -1]
    return [grip(fit(text, min(len(text), _GRIP_WIDTH - 1)), on, other_side)]


def switch_block(
    view: SwitchesView, switches: SwitchState, width: int, *, note: bool = True
) -> list[Line]:
    """A heading and a row per switch: name, key, grip, reported position.

    In less than ``ROW_WIDTH`` cells the grip is left out: the keys still work, a click on the
    report of a button or a handle moves it, and so does the wheel over a lever's.

    Args:
        view: the switches.
        switches: as the board reports them.
        width: of the lines.
        note: add a line below the switches of a real panel: operate them there.
    """
    name_width = _NAME_WIDTH if width >= 28 else max(width - _NAME_WIDTH, 0)
    with_grip = view.simulated and width >= ROW_WIDTH
    if with_grip:
        # The names get what is left over: some are long.
        name_width += min(max(width - ROW_WIDTH - 2, 0), _LONGEST_NAME - _NAME_WIDTH)
    elif not view.simulated:
        name_width = min(max(width - 13, 17), 27) if width >= 30 else _NAME_WIDTH
    columns = [("Switch", name_width)]
    columns += [("Key", _KEY_WIDTH)] if view.simulated else []
    columns += [("Move", _GRIP_WIDTH)] if with_grip else []
    report_width = max(width - sum(cells for _, cells in columns), 0)
    lines = [heading([*columns, ("Reported", 8)], width)]
    for control in view.controls:
        position = view.positions.get(control.name, "")
        line = [name_span(control, name_width)]
        if view.simulated:
            line.append(TextSpan(fit(view.keys.get(control.name, ""), _KEY_WIDTH), TextStyle.KEY))
        if with_grip:
            line += row(grip_spans(control, position), _GRIP_WIDTH)
        if with_grip or not view.simulated:
            line.append(report_span(control, switches, report_width))
        else:
            line.append(_movable_report(control, switches, position))
        lines.append(row(line, width))
    if note and not view.simulated:
        lines.append(quiet_row("Operate them on the panel", width))
    return lines


def _movable_report(
    control: SwitchControl, switches: SwitchState, position: str | float
) -> TextSpan:
    report = report_span(control, switches, 10)
    held = control.form == "button" and position == control.positions[-1]
    other = None
    if control.form in ("handle", "toggle"):
        other = next((end for end in control.positions if end != position), position)
    style = TextStyle.HELD if held else report.style
    return TextSpan(report.text, style, ClickTarget(control.name, other))
