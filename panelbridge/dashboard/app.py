"""The screen of a run: reads the engine's snapshots, moves a simulated panel's switches.

It holds no logic: everything shown is in the snapshot. It shares no data with other threads: a
timer of the screen's own loop reads ``source.snapshot()``, and ``controls`` queue their orders.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.timer import Timer

from panelbridge.dashboard.blocks.abnormal import FirstSections
from panelbridge.dashboard.blocks.feed_rows import draw_feed
from panelbridge.dashboard.blocks.links import cut_links, draw_links
from panelbridge.dashboard.blocks.log import draw_log
from panelbridge.dashboard.blocks.switch_rows import SwitchesView
from panelbridge.dashboard.history import History
from panelbridge.dashboard.interfaces import (
    AnsweringSource,
    Controls,
    SnapshotSource,
    SwitchControl,
)
from panelbridge.dashboard.log_view.log_screen import LogScreen
from panelbridge.dashboard.pages.detail_pages import draw_detail_page
from panelbridge.dashboard.pages.help_screen import HelpScreen, help_text
from panelbridge.dashboard.pages.key_line import draw_key_line
from panelbridge.dashboard.pages.overview_page import draw_overview_page
from panelbridge.dashboard.pages.page_turner import SECTIONS, PageTurner, Section
from panelbridge.dashboard.pages.panel_page import draw_panel_page, panel_inputs
from panelbridge.dashboard.pages.screen_content import TALL, ScreenContent, first_lines
from panelbridge.dashboard.pages.screen_rows import FIRST_LINES, ScreenRows, share_rows
from panelbridge.dashboard.pages.shown_states import DrawingPace, link_states, states_of
from panelbridge.dashboard.pages.systems_page import with_firsts
from panelbridge.dashboard.reasons.why_screen import WhyScreen
from panelbridge.dashboard.show.show_controls import ShowControls
from panelbridge.dashboard.show.show_line import draw_show_line, needs_line
from panelbridge.dashboard.show.show_screen import ShowScreen
from panelbridge.dashboard.switches.switch_keys import assign_keys
from panelbridge.dashboard.switches.switch_operator import SwitchOperator
from panelbridge.dashboard.terminal import TerminalApp
from panelbridge.dashboard.text.lines import Line, blank, cut
from panelbridge.dashboard.widgets import KeyLineWidget, LinesWidget, PageWidget
from panelbridge.engine.snapshot import Snapshot
from panelbridge.feeds.feed import NO_HEALTH
from panelbridge.link.session import LinkState

REFRESH_HZ = 10.0
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


class DashboardApp(TerminalApp[None]):
    """The live screen.

    Args:
        source: where snapshots come from.
        controls: moves the switches of a simulated panel; None with real boards.
        content: what is shown besides snapshot and switches.
        switches: of the panel, in display order.
        page: that is open at first.
        refresh_hz: how often the snapshot is read.
        show: orders to a run as a show; None where it is none.

    Attributes:
        draws: number of times that a part was drawn, for tests of the cost.
        ends_run: the run ends with the screen.
    """

    ends_run = True

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

    def __init__(
        self,
        source: SnapshotSource,
        controls: Controls | None,
        content: ScreenContent,
        *,
        switches: Sequence[SwitchControl] = (),
        page: Section = Section.PANEL,
        refresh_hz: float = REFRESH_HZ,
        show: ShowControls | None = None,
    ) -> None:
        super().__init__()
        self.title = content.title
        self._content = content
        self._source = source
        self._operator = SwitchOperator(controls, switches) if controls else None
        self._fly_again = controls.fly_again if controls else None
        self._show = show
        self._switches = tuple(switches)
        self._keys = assign_keys(self._switches if controls else ())
        self._pages = PageTurner(page)
        self._refresh_s = 1.0 / refresh_hz
        self._snapshot = Snapshot()
        self._history = History()
        self._firsts = FirstSections()
        self._large_log = False
        self._asked_to_quit = False
        self._log_back = 0
        self._link_rows = 0
        self._link_lines: list[Line] = []
        self._area = Size(0, 0)
        # The inputs of each part when it was last drawn: it is redrawn only when they change.
        self._drawn: dict[str, object] = {}
        self._pace = DrawingPace()
        self._looks: Timer | None = None
        self.draws = 0

    def compose(self) -> ComposeResult:
        """Page, links, log, key line."""
        self._page = PageWidget(id="board")
        self._links = LinesWidget(id="links")
        self._log_lines = LinesWidget(id="log")
        self._show_line = LinesWidget(id="show")
        self._key_line = KeyLineWidget(id="keys")
        yield from (self._page, self._links, self._log_lines, self._show_line, self._key_line)

    def on_mount(self) -> None:
        """Start the timer."""
        self._area = self.page_area(self.size)
        self.poll()
        self.set_interval(self._refresh_s, self.poll, name="panelbridge-screen")

    def page_area(self, screen: Size) -> Size:
        """What of the screen the parts share; the rest is another's."""
        return screen

    def poll(self) -> None:
        """Read the snapshot and repaint what has changed."""
        if self._operator:
            self._operator.tick()
        self._look()

    def _look(self) -> None:
        before, self._snapshot = self._snapshot, self._source.snapshot()
        self._history.take(self._snapshot)
        if self._log_back:
            # Keep the events in view in place while new ones arrive.
            self._scroll_log(max(self._snapshot.event_count - before.event_count, 0))
        self.redraw()

    # Drawing

    def redraw(self) -> None:
        """Draw every part whose inputs have changed."""
        if not self._area:
            return
        snapshot, pages, large_log = self._snapshot, self._pages, self._large_log
        width, height = self._area
        content = replace(self._content, snapshot=snapshot, switches=self._switches_view())
        if pages.section in (Section.PANEL, Section.SYSTEMS):
            content = replace(content, samples=self._history.samples)
        if pages.section is Section.SYSTEMS:
            content = with_firsts(content, self._firsts)
        # The page does not show these, so a change of them redraws nothing.
        shown = replace(snapshot, boards=(), events=(), event_count=0, positions={}, reasons={})
        shown = replace(shown, time_s=int(snapshot.time_s), feed=NO_HEALTH, explanations={})
        states = [board.state for board in snapshot.boards]
        page_inputs = (width, height, large_log, pages.section, pages.part)
        inputs: object = (replace(content, snapshot=shown), states)
        if pages.section is Section.PANEL and not large_log:
            inputs = panel_inputs(content)
        at_once: object = (states_of(content), page_inputs)
        if self._pace.is_due("board", at_once, snapshot) and self._is_new(
            "board", (inputs, at_once)
        ):
            self._page_lines = self._draw_page(content, width, height)
        feed = (snapshot.feed, snapshot.feed_fresh)
        has_links = pages.section is Section.OVERVIEW and not large_log
        at_once = (link_states(snapshot), snapshot.feed_fresh, page_inputs)
        if (
            has_links
            and self._pace.is_due("links", at_once, snapshot)
            and self._is_new("links", (snapshot.boards, feed, width, height >= TALL))
        ):
            self._link_lines = draw_links(snapshot.boards, width)
            self._link_lines += draw_feed(
                snapshot.feed, snapshot.feed_name, width, fresh=snapshot.feed_fresh
            )
            if height >= TALL:
                self._link_lines.append(blank(width))
        rows = self._rows(height)
        window = "lines: make the window taller"
        self._page.show(cut(self._page_lines, width, rows.board, window, least_rows=6))
        links = cut_links(self._link_lines, width, rows.links)
        self._links.show(links + [blank(width)] * (rows.links - len(links)))
        log_inputs = (snapshot.event_count, snapshot.events[-1:], self._log_back, rows)
        if self._is_new("log", (*log_inputs, width, large_log)):
            self._log_lines.show(
                draw_log(snapshot.events, self._log_back, width, rows.log, large=large_log)
            )
        show = snapshot.show
        self._show_line.show([draw_show_line(show, width)] if needs_line(show) else [])
        key_inputs = (width, rows.keys, large_log, snapshot.finished)
        if self._is_new("keys", (*key_inputs, pages.section, pages.part, pages.parts)):
            line = draw_key_line(
                width,
                large_log=large_log,
                fly_again=snapshot.finished and self._fly_again is not None,
                simulated=content.switches.simulated,
                pages=pages,
                is_show=self._show is not None,
            )
            self._key_line.show([line] * rows.keys)

    def _draw_page(self, content: ScreenContent, width: int, height: int) -> list[Line]:
        if self._large_log:
            return first_lines(content, width, FIRST_LINES - 1, FIRST_LINES - 1)
        if self._pages.section is Section.PANEL:
            parts = [draw_panel_page(content, width, height)]
        elif self._pages.section is Section.OVERVIEW:
            parts = [draw_overview_page(content, width, height)]
        else:
            parts = draw_detail_page(content, self._pages.section, width, height)
        self._pages.set_parts(len(parts))
        return parts[self._pages.part]

    def _is_new(self, part: str, inputs: object) -> bool:
        if self._drawn.get(part) == inputs:
            return False
        self._drawn[part] = inputs
        self.draws += 1
        return True

    def _rows(self, height: int) -> ScreenRows:
        wanted = 0
        if self._pages.section is Section.OVERVIEW:
            wanted = len(self._link_lines)
            if any(board.state is not LinkState.LIVE for board in self._snapshot.boards):
                # The message of a lost board comes and goes: keep the rows for it.
                wanted = max(wanted, self._link_rows)
            self._link_rows = wanted
        rows = share_rows(height, len(self._page_lines), wanted, large_log=self._large_log)
        return rows.with_line() if needs_line(self._snapshot.show) else rows

    def _switches_view(self) -> SwitchesView:
        if self._operator is None:
            return SwitchesView(self._switches)
        positions = {
            control.name: self._operator.position(control.name) for control in self._switches
        }
        return SwitchesView(self._switches, self._keys.shown, positions, simulated=True)

    # Keys and mouse

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size at once."""
        self._area = self.page_area(event.size)
        self._link_rows = 0
        self.redraw()

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

    def content_now(self) -> ScreenContent:
        """The newest snapshot, and what else is shown."""
        return replace(self._content, snapshot=self._snapshot, switches=self._switches_view())

    def status_lines(self, width: int) -> list[Line]:
        """Whether what is shown is live; nothing for the run itself."""
        return []

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

    def _scroll_log(self, step: int) -> None:
        last = max(len(self._snapshot.events) - 1, 0)
        self._log_back = min(max(self._log_back + step, 0), last)

    def action_fly_again(self) -> None:
        """Start the flight again, once it has finished."""
        if self._snapshot.finished and self._fly_again is not None:
            self._fly_again()
