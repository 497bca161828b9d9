"""The screen of a viewer: the same pages over another run, and a line that says if they are live.

What is not live stays in view, dimmed beneath a banner, so that it is never taken for the present.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Protocol

from msgspec import Struct
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Size

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import Controls, SnapshotSource, SwitchControl
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.pages.screen_rows import ScreenRows
from panelbridge.dashboard.text.lines import Line, TextSpan, TextStyle, row
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.snapshot import Snapshot

OTHER_RUN = 75
"""Return code when another run has taken the place of the one that was shown."""
_DIMMED = 0.2


class ViewerState(Struct, frozen=True):
    """Whether what is shown is live.

    Attributes:
        is_live: it is the run as it is now.
        text: for people.
        is_replaced: another run has taken the place of this one.
    """

    is_live: bool
    text: str
    is_replaced: bool = False


class ViewerSource(SnapshotSource, Protocol):
    """A source of snapshots that may be lost."""

    def viewer_state(self) -> ViewerState:
        """Whether the newest snapshot is live; without blocking."""

    def take_past(self) -> Sequence[Snapshot]:
        """What was shortly before a connection began, the oldest first; each once."""


class ViewerApp(DashboardApp):
    """A viewer's screen.

    Args:
        source: of its snapshots.
        controls: moves the switches; None when this viewer may not.
        content: what is shown besides the snapshot.
        switches: of the panel.
        page: the page that is open first; None = the first one.
        kiosk: this page alone, without keys.
    """

    ends_run = False
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "leave", priority=True)]

    def __init__(
        self,
        source: ViewerSource,
        controls: Controls | None,
        content: ScreenContent,
        *,
        switches: Sequence[SwitchControl] = (),
        page: Section | None = None,
        kiosk: bool = False,
    ) -> None:
        super().__init__(source, None if kiosk else controls, content, switches=switches)
        self._viewer_source = source
        self._kiosk = kiosk
        self._state = ViewerState(is_live=True, text="")
        if page is not None:
            self._pages.open_first(page)

    def compose(self) -> ComposeResult:
        """The state of the connection above everything else."""
        self._state_lines = LinesWidget(id="viewer_state")
        yield self._state_lines
        yield from super().compose()

    def page_area(self, screen: Size) -> Size:
        """All but the lines about the connection."""
        return Size(screen.width, max(screen.height - self._state_rows(), 0))

    def poll(self) -> None:
        """Look at the connection, then at the snapshot."""
        state = self._viewer_source.viewer_state()
        if state.is_replaced:
            self.exit(return_code=OTHER_RUN)
            return
        if state != self._state or not self._state_lines.lines:
            self._state = state
            self._area = self.page_area(self.size)
            for part in (self._page, self._links, self._log_lines):
                part.styles.opacity = 1.0 if state.is_live else _DIMMED
        for snapshot in self._viewer_source.take_past():
            self._history.take(snapshot)
        super().poll()

    def redraw(self) -> None:
        """Draw the line about the connection, and the pages."""
        self._state_lines.show(self._draw_state(self.size.width))
        super().redraw()

    def status_lines(self, width: int) -> list[Line]:
        """The line about the connection."""
        return self._draw_state(width)

    def _state_rows(self) -> int:
        if self._state.is_live:
            return 0 if self._kiosk else 1
        return 3 if self.size.height >= 12 else 1

    def _draw_state(self, width: int) -> list[Line]:
        rows = self._state_rows()
        if not rows:
            return []
        if self._state.is_live:
            return [row([TextSpan(f" {self._state.text}", TextStyle.QUIET)], width)]
        text = f" NOT LIVE: {self._state.text}"
        line = row([TextSpan(text.ljust(width), TextStyle.LIT_AMBER)], width)
        edge = row([TextSpan(" " * width, TextStyle.LIT_AMBER)], width)
        return [line] if rows == 1 else [edge, line, edge]

    def _rows(self, height: int) -> ScreenRows:
        rows = super()._rows(height)
        return replace(rows, log=rows.log + rows.keys, keys=0) if self._kiosk else rows

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A page without keys takes Ctrl-C and nothing else."""
        return action == "leave" if self._kiosk else super().check_action(action, parameters)

    def action_leave(self) -> None:
        """End the viewer; the run goes on."""
        self.exit()
