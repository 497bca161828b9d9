"""What the screen of a run shows: reads the engine's snapshots and draws what has changed.

It holds no logic: everything shown is in the snapshot. It shares no data with other threads: a
timer of the screen's own loop reads ``source.snapshot()``.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace
from textual import events
from textual.app import ComposeResult
from textual.geometry import Size

from panelbridge.dashboard.blocks.abnormal import FirstSections
from panelbridge.dashboard.blocks.feed_rows import draw_feed
from panelbridge.dashboard.blocks.links import cut_links, draw_links
from panelbridge.dashboard.blocks.log import draw_log
from panelbridge.dashboard.blocks.switch_rows import SwitchesView
from panelbridge.dashboard.history import History
from panelbridge.dashboard.interfaces import Controls, SnapshotSource, SwitchControl
from panelbridge.dashboard.pages.detail_pages import draw_detail_page
from panelbridge.dashboard.pages.key_line import draw_key_line
from panelbridge.dashboard.pages.lazy_parts import parts_of
from panelbridge.dashboard.pages.overview_page import draw_overview_page
from panelbridge.dashboard.pages.page_turner import PageTurner, Section
from panelbridge.dashboard.pages.panel_page import draw_panel_page, panel_inputs
from panelbridge.dashboard.pages.screen_content import (
    TALL,
    ScreenContent,
    first_lines,
    page_inputs,
)
from panelbridge.dashboard.pages.screen_rows import FIRST_LINES, ScreenRows, share_rows
from panelbridge.dashboard.pages.shown_states import DrawingPace, link_states, states_of
from panelbridge.dashboard.pages.systems_page import with_firsts
from panelbridge.dashboard.show.show_controls import ShowControls
from panelbridge.dashboard.show.show_line import draw_show_line, needs_line
from panelbridge.dashboard.switches.switch_keys import assign_keys
from panelbridge.dashboard.switches.switch_operator import SwitchOperator
from panelbridge.dashboard.terminal import TerminalApp
from panelbridge.dashboard.text.lines import Line, blank, cut
from panelbridge.dashboard.widgets import KeyLineWidget, LinesWidget, PageWidget
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState

REFRESH_HZ = 10.0


class ShownRun(TerminalApp[None]):
    """A run as it is shown.

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
    """

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
        self._log_back = 0
        self._link_rows = 0
        self._link_lines: list[Line] = []
        self._area = Size(0, 0)
        # The inputs of each part when it was last drawn: it is redrawn only when they change.
        self._drawn: dict[str, object] = {}
        self._pace = DrawingPace()
        self.draws = 0

    def compose(self) -> ComposeResult:
        """Page, links, log, what is broken on purpose, key line."""
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

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size at once."""
        self._area = self.page_area(event.size)
        self._link_rows = 0
        self.redraw()

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

    def content_now(self) -> ScreenContent:
        """The newest snapshot, and what else is shown."""
        return replace(self._content, snapshot=self._snapshot, switches=self._switches_view())

    def status_lines(self, width: int) -> list[Line]:
        """Whether what is shown is live; nothing for the run itself."""
        return []

    def redraw(self) -> None:
        """Draw every part whose inputs have changed."""
        if not self._area:
            return
        width, height = self._area
        pages = self._pages
        asked = (width, height, self._large_log, pages.section, pages.part)
        self._look_at_page(asked, width, height)
        if pages.section is Section.OVERVIEW and not self._large_log:
            self._look_at_links(asked, width, height)
        rows = self._rows(height)
        window = "lines: make the window taller"
        self._page.show(cut(self._page_lines, width, rows.board, window, least_rows=6))
        links = cut_links(self._link_lines, width, rows.links)
        self._links.show(links + [blank(width)] * (rows.links - len(links)))
        show = self._snapshot.show
        self._show_line.show([draw_show_line(show, width)] if needs_line(show) else [])
        self._look_at_log_and_keys(rows, width)

    def _look_at_page(self, asked: object, width: int, height: int) -> None:
        snapshot, section, content = self._snapshot, self._pages.section, self.content_now()
        at_once = (states_of(content), asked)
        if not self._pace.is_due("board", at_once, snapshot):
            return
        if section in (Section.PANEL, Section.SYSTEMS):
            content = replace(content, samples=self._history.drawn)
        if section is Section.SYSTEMS:
            content = with_firsts(content, self._firsts)
        if section is Section.PANEL and not self._large_log:
            inputs = panel_inputs(content)
        else:
            inputs = page_inputs(content)
        if self._is_new("board", (inputs, at_once)):
            self._page_lines = self._draw_page(content, width, height)

    def _look_at_links(self, asked: object, width: int, height: int) -> None:
        snapshot = self._snapshot
        at_once = (link_states(snapshot), snapshot.feed_fresh, asked)
        inputs = (snapshot.boards, snapshot.feed, snapshot.feed_fresh, width, height >= TALL)
        if not (self._pace.is_due("links", at_once, snapshot) and self._is_new("links", inputs)):
            return
        self._link_lines = draw_links(snapshot.boards, width)
        self._link_lines += draw_feed(
            snapshot.feed, snapshot.feed_name, width, fresh=snapshot.feed_fresh
        )
        if height >= TALL:
            self._link_lines.append(blank(width))

    def _look_at_log_and_keys(self, rows: ScreenRows, width: int) -> None:
        snapshot, pages, large_log = self._snapshot, self._pages, self._large_log
        log_inputs = (snapshot.event_count, snapshot.events[-1:], self._log_back, rows)
        if self._is_new("log", (*log_inputs, width, large_log)):
            lines = draw_log(snapshot.events, self._log_back, width, rows.log, large=large_log)
            self._log_lines.show(lines)
        key_inputs = (width, rows.keys, large_log, snapshot.finished)
        if self._is_new("keys", (*key_inputs, pages.section, pages.part, pages.parts)):
            line = draw_key_line(
                width,
                large_log=large_log,
                fly_again=snapshot.finished and self._fly_again is not None,
                simulated=self._operator is not None,
                pages=pages,
                is_show=self._show is not None,
            )
            self._key_line.show([line] * rows.keys)

    def _draw_page(self, content: ScreenContent, width: int, height: int) -> list[Line]:
        if self._large_log:
            return first_lines(content, width, FIRST_LINES - 1, FIRST_LINES - 1)
        if self._pages.section is Section.PANEL:
            parts = parts_of([draw_panel_page(content, width, height)])
        elif self._pages.section is Section.OVERVIEW:
            parts = parts_of([draw_overview_page(content, width, height)])
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

    def _scroll_log(self, step: int) -> None:
        last = max(len(self._snapshot.events) - 1, 0)
        self._log_back = min(max(self._log_back + step, 0), last)
