"""The screen of a run: keys and mouse over what is shown; moves a simulated panel's switches.

``controls`` queue their orders for the engine's thread.
"""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.timer import Timer

from panelbridge.dashboard.interfaces import AnsweringSource
from panelbridge.dashboard.log_view.log_screen import LogScreen
from panelbridge.dashboard.pages.help_screen import HelpScreen, help_text
from panelbridge.dashboard.pages.page_turner import SECTIONS
from panelbridge.dashboard.reasons.why_screen import WhyScreen
from panelbridge.dashboard.show.show_screen import ShowScreen
from panelbridge.dashboard.shown_run import ShownRun
from panelbridge.dashboard.widgets import KeyLineWidget, LinesWidget, PageWidget
from panelbridge.link.session import LinkState

_LOOKS = 4
"""So many times as often the screen looks at the engine just after a switch was moved,"""
_LOOKS_FOR = 4
"""for so many of its usual periods: contacts bounce, and the board answers."""
_ASKED_S = 5.0
"""How long the first press of q counts, s."""
_ALL = 1_000_000
_LOG_STEPS = (
    ("up", 1),
    ("down", -1),
    ("pageup", 10),
    ("pagedown", -10),
    ("home", _ALL),
    ("end", -_ALL),
)


class DashboardApp(ShownRun):
    """The live screen."""

    ends_run = True
    """The run ends with the screen."""
    _asked_to_quit = False
    _looks: Timer | None = None

    # Text of views and of the help; on pages the mouse moves switches.
    ALLOW_SELECT = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", priority=True),
        ("q", "ask_and_quit"),
        ("question_mark", "help"),
        ("l", "large_log"),
        ("f", "fly_again"),
        ("f8", "show"),
        ("space", "pause_or_go"),
        ("f6", "why"),
        ("f7", "log_view"),
        ("right", "turn(1)"),
        ("left", "turn(-1)"),
        # Digits need Shift on a French keyboard; function keys are everywhere.
        *((f"{at + 1},f{at + 1}", f"page({at})") for at in range(len(SECTIONS))),
        *((key, f"scroll_log({step})") for key, step in _LOG_STEPS),
    ]

    def _show_move(self) -> None:
        """A switch was moved: show that at once, and its effect as soon as it is there."""
        self.redraw()
        if self._looks is not None:
            self._looks.stop()
        self._looks = self.set_interval(
            self._refresh_s / _LOOKS, self._look, repeat=_LOOKS * _LOOKS_FOR
        )

    def on_key(self, event: events.Key) -> None:
        """Move a switch by its key."""
        action = self._keys.actions.get(event.character or "")
        if action and self._operator and not isinstance(self.screen, ModalScreen):
            self._operator.key(action)
            self._show_move()

    def on_page_widget_pressed(self, message: PageWidget.Pressed) -> None:
        """Move a switch, or hold it while the mouse button is down; or open reasons."""
        if message.target.asks:
            self.open_why(message.target.name)
        elif self._operator:
            self._operator.mouse_down(message.target.name, message.target.position)
            self._show_move()

    def on_page_widget_released(self) -> None:
        """Release what the mouse holds."""
        if self._operator:
            self._operator.mouse_up()
            self._show_move()

    def on_app_blur(self) -> None:
        """The window has lost the focus: release what the mouse holds."""
        self.on_page_widget_released()

    def on_lines_widget_wheeled(self, message: LinesWidget.Wheeled) -> None:
        """Scroll the log, or turn a lever."""
        if message.part == "log":
            self._scroll_log(message.step)
        elif message.part == "board" and message.target and self._operator:
            if message.target.asks:
                return
            self._operator.wheel(message.target.name, message.step)
        self.redraw()

    async def on_key_line_widget_clicked(self, message: KeyLineWidget.Clicked) -> None:
        """A click on the key line does what the key does."""
        actions = {"q": "ask_and_quit", "?": "help", "l": "large_log", "f": "fly_again"}
        actions |= {"F6": "why", "F7": "log_view", "F8": "show"}
        key = message.key
        await self.run_action(f"page({int(key) - 1})" if key.isdigit() else actions[key])

    def action_ask_and_quit(self) -> None:
        """End; with real boards that are live the first press only says what that does."""
        live = any(board.state is LinkState.LIVE for board in self._snapshot.boards)
        if self._operator or not self.ends_run or not live or self._asked_to_quit:
            self.exit()
            return
        self._asked_to_quit = True
        self.notify("Press q again to end the run: lamps and horn go to idle.", timeout=_ASKED_S)
        self.set_timer(_ASKED_S, self._forget_to_quit)

    def _forget_to_quit(self) -> None:
        self._asked_to_quit = False

    def action_help(self) -> None:
        """Show the help."""
        text = help_text(
            self._switches_view(),
            can_fly_again=self._fly_again is not None,
            is_show=self._show is not None,
            simulated=bool(self._snapshot.positions),
        )
        self.push_screen(HelpScreen(text))

    def action_show(self) -> None:
        """Open the panel of the show."""
        if self._show is None:
            self.notify("A show needs simulated boards, and the screen of the run itself.")
        else:
            self.push_screen(ShowScreen(self._show, lambda: self._snapshot))

    def action_pause_or_go(self) -> None:
        """Stop the time of a show, or let it go on."""
        if self._show is not None:
            self._show.pause_or_go()

    def open_why(self, subject: str) -> None:
        """Open the reasons of ``subject``, unless this screen takes no orders."""
        if self.check_action("why", ()):
            ask = self._source.explain if isinstance(self._source, AnsweringSource) else None
            self.push_screen(WhyScreen(self, ask, subject))

    def action_why(self) -> None:
        """Open the reasons of the horn, or of what is lit."""
        self.open_why("")

    def action_log_view(self) -> None:
        """Open the log, to be filtered, searched and saved; not saved from a browser."""
        self.push_screen(LogScreen(self, can_save=not self.is_web))

    def action_large_log(self) -> None:
        """Make the log large or small."""
        self._large_log = not self._large_log
        self._log_back = 0
        self.redraw()

    def action_page(self, at: int) -> None:
        """Open the section ``at``, or its next part; an enlarged log becomes small."""
        if self._large_log:
            self._large_log = False
            self._pages.open_first(SECTIONS[at])
        else:
            self._pages.open(SECTIONS[at])
        self.redraw()

    def action_turn(self, step: int) -> None:
        """Next or previous page."""
        self._large_log = False
        self._pages.turn(step)
        self.redraw()

    def action_scroll_log(self, step: int) -> None:
        """Scroll ``step`` events back; a negative ``step`` towards the newest."""
        self._scroll_log(step)
        self.redraw()

    def action_fly_again(self) -> None:
        """Start the flight again, once it has finished."""
        if self._snapshot.finished and self._fly_again is not None:
            self._fly_again()
