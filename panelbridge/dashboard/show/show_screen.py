"""The show panel over the lower half of the page, which goes on above it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import ModalScreen

from panelbridge.dashboard.show.show_controls import ShowControls
from panelbridge.dashboard.show.show_panel import (
    PART,
    PHASE,
    PHASE_KEYS,
    ShowView,
    draw_show_panel,
    narrowed,
)
from panelbridge.dashboard.widgets import KeyLineWidget, LinesWidget
from panelbridge.engine.snapshot import Snapshot

STEP_SHORT_S, STEP_LONG_S = 0.1, 1.0
_REFRESH_S = 0.1
_PAGE = 10
"""How far Page Up and Page Down go in the list."""


def panel_height(screen: int) -> int:
    """Rows of the panel on a screen of this height: the first rows of the page stay in sight."""
    return max(screen - 13, min(screen, 10)) if screen < 32 else screen // 2


class ShowScreen(ModalScreen[None]):
    """The show panel.

    Args:
        controls: take its orders.
        snapshot: the newest one.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("f8", "dismiss", "close"),
        ("escape", "clear_or_close"),
        ("space", "order('space')"),
        ("enter", "order('enter')"),
        ("delete", "order('mend_all')"),
        ("backspace", "erase"),
        ("up", "choose(-1)"),
        ("down", "choose(1)"),
        ("pageup", f"choose(-{_PAGE})"),
        ("pagedown", f"choose({_PAGE})"),
        ("right", "turn_phase(1)"),
        ("left", "turn_phase(-1)"),
    ]
    DEFAULT_CSS = "ShowScreen { align: left bottom; }"

    def __init__(self, controls: ShowControls, snapshot: Callable[[], Snapshot]) -> None:
        super().__init__()
        self._controls = controls
        self._read = snapshot
        self._typed = ""
        self._chosen = 0

    def compose(self) -> ComposeResult:
        """One rectangle of lines."""
        self._lines = KeyLineWidget(id="show_panel")
        yield self._lines

    def on_mount(self) -> None:
        """Start the timer; the page is seen above the panel."""
        self.styles.background = "transparent"  # the style of all screens would hide it
        self.redraw()
        self.set_interval(_REFRESH_S, self.redraw, name="panelbridge-show")

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.redraw()

    def view(self) -> ShowView:
        """What is shown besides the snapshot."""
        controls = self._controls
        found = narrowed(controls.breakables, self._typed)
        self._chosen = min(max(self._chosen, 0), max(len(found) - 1, 0))
        total = len(controls.breakables)
        return ShowView(
            found, total, controls.phases, controls.fixed_time, self._typed, self._chosen
        )

    def redraw(self) -> None:
        """Draw it from the newest snapshot."""
        width, height = self.app.size
        if width and height:
            self._lines.show(
                draw_show_panel(self._read(), self.view(), width, panel_height(height))
            )

    # Keys and mouse

    def on_key(self, event: events.Key) -> None:
        """Orders about the time, phases by their digit, and letters that narrow the list."""
        sign = event.character or ""
        order = {",": "step_short", ".": "step_long", "-": "slower", "+": "faster"}.get(
            {"=": "+", "_": "-", ";": ",", ":": "."}.get(sign, sign)
        )
        if order:
            self.action_order(order)
        elif sign and sign in PHASE_KEYS:
            self.action_order(f"{PHASE}{PHASE_KEYS.index(sign)}")
        elif len(sign) == 1 and sign.isalpha():
            self._typed, self._chosen = self._typed + sign.lower(), 0
        else:
            return
        event.stop()
        self.redraw()

    def on_key_line_widget_clicked(self, message: KeyLineWidget.Clicked) -> None:
        """A click does what the key does; one on a part breaks or mends it."""
        message.stop()
        self.action_order(message.key)

    def on_lines_widget_wheeled(self, message: LinesWidget.Wheeled) -> None:
        """Scroll the list."""
        message.stop()
        self.action_choose(-message.step)

    def action_order(self, order: str) -> None:
        """Do what a key or a click asks for."""
        controls = self._controls
        if order.startswith(PHASE):
            controls.jump(int(order.removeprefix(PHASE)))
        elif order.startswith(PART):
            words = order.removeprefix(PART)
            found = [part.words for part in self.view().breakables]
            self._chosen = found.index(words) if words in found else self._chosen
            controls.break_or_mend(words)
        elif order == "enter":
            view = self.view()
            if view.breakables:
                controls.break_or_mend(view.breakables[view.chosen].words)
        else:
            orders: dict[str, Callable[[], None]] = {
                "space": controls.pause_or_go,
                "step_short": lambda: controls.step(STEP_SHORT_S),
                "step_long": lambda: controls.step(STEP_LONG_S),
                "slower": controls.slower,
                "faster": controls.faster,
                "mend_all": controls.mend_all,
            }
            orders[order]()
        self.redraw()

    def action_choose(self, step: int) -> None:
        """Choose another part."""
        self._chosen += step
        self.redraw()

    def action_turn_phase(self, step: int) -> None:
        """Fly to the next phase, or to the one before."""
        phase = self._read().show.phase
        if phase >= 0 and 0 <= phase + step < len(self._controls.phases):
            self._controls.jump(phase + step)

    def action_erase(self) -> None:
        """Take away the last typed letter."""
        self._typed = self._typed[:-1]
        self.redraw()

    def action_clear_or_close(self) -> None:
        """Show the whole list again; or close the panel."""
        if not self._typed:
            self.dismiss()
        self._typed = ""
        self.redraw()
