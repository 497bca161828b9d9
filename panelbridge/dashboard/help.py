"""The help: what every key does, and what the signs mean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from panelbridge.dashboard.ports import SwitchControl
from panelbridge.dashboard.switch_block import SwitchDesk, title_of


def _use_of(control: SwitchControl, key: str) -> str:
    """What the keys of a switch do."""
    if control.form == "button":
        return f"pushes it shortly; {key.upper()} holds it"
    if control.form == "lever":
        words = "less and more, or the wheel over its bar"
        if control.rest is None:
            return words
        end = "to its other end" if control.rest == 0 else "to the middle"
        return f"{end}; less, more; or the wheel"
    return "to its other end" if control.form == "handle" else "to the other side; it stays there"


def help_lines(desk: SwitchDesk, *, can_fly_again: bool) -> Sequence[str]:
    """The text of the help, without any markup."""
    lines = ["KEYS", " q        quit", " ?        this help; Escape closes it"]
    lines += [
        " 1 2 3 4  the pages: board, switches, systems, lamps; the same key once",
        "          more shows the next part of a page that has several",
        " Left Right  one page back or on",
        " l        make the log large or small",
    ]
    lines.append(" Up Down  read back in the log, also Page Up, Page Down, Home, End")
    if can_fly_again:
        lines.append(" f        fly again, once the flight has finished")
    lines += ["", "SWITCHES"]
    if desk.simulated:
        for control in desk.switches:
            key = desk.keys.get(control.name, "")
            lines.append(f" {key:<8} {title_of(control)}: {_use_of(control, key)}")
        lines += [
            " A capital letter that holds a button lets it go when it is typed again.",
            " Mouse    click on an end of the handle, on a toggle or on a bar; a",
            "          button stays pushed while the mouse button is down",
        ]
    else:
        lines.append(" This board is a real one: its switches are moved on the panel.")
    lines += [
        "",
        "SIGNS",
        " ●  yes: lit, pressed, made, live      ○  no: dark, free, open",
        " ?  unknown: not connected (no link), or too old to be trusted",
        " –  not fitted: this panel has no such lamp, horn or gauge",
        " ●█─────○  a leg's way, up-lock on the left, down-lock on the right;",
        "           the block is the leg, a filled end is a lock that is made",
        " LIT 60%   what the lamp is told to be; a capital word is a lit lamp",
        " ( push ) ( off )  can be clicked    [ HELD ] [ ON ]  is pushed, is on",
        "",
        "LINKS",
        " Errors      frames that the computer or the board refused as damaged",
        " Trip ms     from a command to the board's report that answers it",
        " Edges lost  short pushes that the board could not remember; where the",
        "             switches stand was right all the same",
        "",
        "SYSTEMS",
        " What each system of this aircraft says of itself, its gauges and what",
        " it asks of the simulator. A system that the aircraft does not have is",
        " not there.",
        "",
        "LOG",
        " · info    ! caution    ▲ WARNING    X FAULT: something is broken",
        "",
        "For simulation only, never for a real aircraft.",
    ]
    return lines


class HelpScreen(ModalScreen[None]):
    """The help over the screen, until a key closes it.

    Args:
        lines: of the help.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,question_mark,enter", "close", "close"),
        Binding("q", "app.quit", "quit"),
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

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__()
        self._lines = lines

    def compose(self) -> ComposeResult:
        """The text in a frame that scrolls when the window is small."""
        with VerticalScroll() as frame:
            frame.border_title = "Help"
            frame.border_subtitle = "Up and Down scroll, Escape closes"
            yield Static("\n".join(self._lines), markup=False)

    def action_close(self) -> None:
        """Back to the board."""
        self.dismiss()
