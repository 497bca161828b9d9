"""The help: what every key does, and what the signs mean."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from panelbridge.dashboard.blocks.switch_rows import SwitchesView, title_of
from panelbridge.dashboard.interfaces import SwitchControl

_KEYS = """\
KEYS
 q            quit; with real boards it asks once
 ?            this help; Escape closes it
 1 2 3 4 5    open a page: panel, switches, systems, lamps, overview; the
 F1 to F5     same key again shows the next part of a page that has several
 Left, Right  previous or next page
 l            enlarge the log, or make it small again
 Up, Down     scroll the log, also Page Up, Page Down, Home, End
 F6           why: the reasons of a lamp, the horn, a fault or a value; a
              click on a lamp, leg, verdict or horn opens them too
 F7           the log: by level and subject, searched, saved to a file
 F9           in why, log and help: copy what the mouse has selected. On
              pages hold Shift to select with the terminal's own means
"""
_FLY_AGAIN = " f            fly again, once the flight has finished\n"
_SHOW = """\
 F8           the show: pause, step, faster, fly to a phase, break and mend
 Space        pause, or go on
"""
_MOUSE = """\
 A capital letter holds a button; the same letter again releases it.
 Mouse    click an end of the handle, a toggle or a bar; a button stays
          pressed while the mouse button is down
"""
_REAL_PANEL = " These are real switches: operate them on the panel.\n"
_WATCHED = """\
 You only watch. These switches are simulated: they are moved from the
 screen of the run itself.
"""
_SIGNS = """
PANEL
 Large grey words: all is normal. Filled grounds: look here.
 Lamps     ▲ red   ! amber   ● green   i blue   ■ white
 Tiles     an outline is a lamp that is dark, a broken one is not known
 Chequered ends: what is shown cannot be trusted

SIGNS
 ●  yes: pressed, made, live           ○  no: dark, off, open
 ?  unknown: not connected (no link), or data too old to be trusted
 –  not fitted: this panel has no such lamp, horn or gauge
 ●█────○  travel of a leg, up-lock on the left, down-lock on the right;
          the block is the leg, a filled end is a lock that is made
 LIT 60%   commanded brightness of a lamp; before it the sign of its colour
 ( push ) ( off )  can be clicked    [ HELD ] [ ON ]  is held, is on

LEGS
 Squat     squat switch: ● ground, the strut is compressed; ○ air

LINKS
 Errors      frames that the computer or the board rejected as damaged
 Trip ms     round-trip time, from a command to the report that answers it
 Edges lost  short presses that the board had no memory for; the positions
             of the switches are right all the same

SYSTEMS
 The values of each system of this aircraft, the gauges, and the commands
 to the simulator. Systems that the aircraft does not have are not shown.

LOG
 · info    ! caution    ▲ WARNING    X FAULT: something has failed

For simulation only, never for a real aircraft."""


def _use_of(control: SwitchControl, key: str) -> str:
    """What the keys of a switch do."""
    if control.form == "button":
        return f"short press; {key.upper()} holds it"
    if control.form == "lever":
        if control.rest is None:
            return "less, more; or the mouse wheel over its bar"
        return f"{'other end' if control.rest == 0 else 'middle'}; less, more; or the wheel"
    return "other end" if control.form == "handle" else "other side; it stays there"


def help_text(
    view: SwitchesView, *, can_fly_again: bool, simulated: bool = False, is_show: bool = False
) -> str:
    """The text of the help, without any markup.

    Args:
        view: the switches, with their keys where this screen may move them.
        can_fly_again: the flight can be started again.
        simulated: the boards are simulated, though this screen may not move their switches.
        is_show: time can be stopped and things broken (F8).
    """
    if view.simulated:
        keys = [(control, view.keys.get(control.name, "")) for control in view.controls]
        rows = [
            f" {key:<8} {title_of(control)}: {_use_of(control, key)}\n" for control, key in keys
        ]
        switches = "".join(rows) + _MOUSE
    else:
        switches = _WATCHED if simulated else _REAL_PANEL
    more = (_FLY_AGAIN if can_fly_again else "") + (_SHOW if is_show else "")
    return f"{_KEYS}{more}\nSWITCHES\n{switches}{_SIGNS}"


class HelpScreen(ModalScreen[None]):
    """The help over the screen, until a key closes it.

    Args:
        text: of the help.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape,question_mark,enter", "dismiss", "close"),
        ("q", "app.ask_and_quit", "quit"),
        ("f9", "copy_selected", "copy"),
    ]

    DEFAULT_CSS = """
    HelpScreen { align: center middle; background: #171614 60%; }
    HelpScreen > VerticalScroll {
        width: 80; max-width: 100%; height: auto; max-height: 100%;
        background: #24221f; color: #d6d0c4; border: solid #b9a37e; padding: 0 1;
        scrollbar-size-vertical: 1; scrollbar-color: #8f887b; scrollbar-background: #24221f;
    }
    HelpScreen Static { width: 100%; height: auto; }
    """

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        """The text in a frame that scrolls when the window is small."""
        with VerticalScroll() as frame:
            frame.border_title = "Help"
            frame.border_subtitle = "Up and Down scroll, Escape closes"
            yield Static(self.text, markup=False)

    def action_copy_selected(self) -> None:
        """Copy what the mouse has selected, or all of the help."""
        self.app.copy_to_clipboard(self.get_selected_text() or self.text)
        self.notify("Copied, if this terminal lets programs copy.", timeout=3)
