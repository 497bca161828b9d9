"""The screen of a viewer: like that of a run, without an engine."""

from __future__ import annotations

import threading

from panelbridge.cli.run_link import LinkControls, LinkSource
from panelbridge.cli.terminal import TerminalWatch, stopped_by_signals
from panelbridge.cli.viewed_content import ViewedContent
from panelbridge.dashboard.pages.page_turner import SECTIONS, Section
from panelbridge.dashboard.viewer_app import OTHER_RUN, ViewerApp, ViewerState
from panelbridge.errors import UsageError
from panelbridge.watch.viewer_link import ViewerLink, Welcome

__all__ = ["OTHER_RUN", "page_named", "show_viewer"]


class _ScreenSource(LinkSource):
    def viewer_state(self) -> ViewerState:
        """Whether the newest snapshot is live."""
        return ViewerState(*self.state())


def page_named(name: str | None) -> Section | None:
    """A page by its name. Raises: UsageError, when there is none."""
    if name is None:
        return None
    try:
        return Section(name)
    except ValueError:
        pages = ", ".join(SECTIONS)
        raise UsageError(f"there is no page '{name}'", "--page", f"the pages are {pages}") from None


def show_viewer(
    link: ViewerLink,
    welcome: Welcome,
    viewed: ViewedContent,
    page: Section | None,
    *,
    kiosk: bool,
) -> int:
    """Show a run until the screen is closed, or its terminal goes away; returns the exit code."""
    controls = None
    if welcome.hands:
        controls = LinkControls(link, flies_again=viewed.flies_again)
    source = _ScreenSource(link, hands=welcome.hands and not kiosk)
    app = ViewerApp(
        source, controls, viewed.content, switches=viewed.switches, page=page, kiosk=kiosk
    )
    # In a browser the terminal is a pipe, which hangs up when the browsers' server has gone.
    watch = TerminalWatch(lambda: None, app.exit, threading.main_thread())
    with stopped_by_signals(watch.ask):
        watch.start()
        try:
            app.run()
        except OSError:
            if not watch.has_hung_up:
                raise
        finally:
            watch.close()
    return 0 if watch.stopped else app.return_code or 0
