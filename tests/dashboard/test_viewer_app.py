"""The screen of a viewer: the same pages, and what it says when they are not live."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.viewer_app import OTHER_RUN, ViewerApp, ViewerState
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.snapshot import Snapshot
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource
from tests.dashboard.text import text_of

LIVE = ViewerState(is_live=True, text="watching desk:1, read only")
LOST = ViewerState(is_live=False, text="the run has ended")


class FakeViewerSource(FakeSource):
    """Says what the test wants of the connection."""

    state = LIVE
    past: Sequence[Snapshot] = ()

    def viewer_state(self) -> ViewerState:
        return self.state

    def take_past(self) -> Sequence[Snapshot]:
        past, self.past = self.past, ()
        return past


@asynccontextmanager
async def viewing(
    *, page: Section | None = None, kiosk: bool = False, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], ViewerApp, FakeViewerSource, FakeControls]]:
    source, controls = FakeViewerSource(), FakeControls()
    content = ScreenContent(title="panelbridge", lamp_looks=scenes.LAMPS)
    app = ViewerApp(source, controls, content, switches=scenes.SWITCHES, page=page, kiosk=kiosk)
    async with app.run_test(size=size) as pilot:
        yield pilot, app, source, controls


def lines(app: ViewerApp, part: str) -> list[str]:
    return [text_of(line).rstrip() for line in app.query_one(f"#{part}", LinesWidget).lines]


def heights(app: ViewerApp) -> int:
    return sum(len(app.query_one(f"#{part}", LinesWidget).lines) for part in PARTS)


PARTS = ("viewer_state", "board", "links", "log", "keys")


async def test_a_live_viewer_says_quietly_whom_it_watches() -> None:
    async with viewing() as (_, app, _, _):
        assert lines(app, "viewer_state") == [" watching desk:1, read only"]
        assert heights(app) == 24
        assert app.query_one("#board").styles.opacity == 1.0


@pytest.mark.parametrize(("size", "rows"), [((80, 24), 3), ((60, 20), 3), ((40, 10), 1)])
async def test_what_is_not_live_is_dimmed_under_a_banner_until_it_is(
    size: tuple[int, int], rows: int
) -> None:
    async with viewing(size=size) as (pilot, app, source, _):
        source.state = LOST
        app.poll()
        await pilot.pause()
        found = lines(app, "viewer_state")
        assert len(found) == rows
        assert found[rows // 2] == " NOT LIVE: the run has ended"
        assert heights(app) == size[1]
        for part in ("board", "links", "log"):
            assert app.query_one(f"#{part}").styles.opacity < 0.5
        source.state = LIVE
        app.poll()
        await pilot.pause()
        assert lines(app, "viewer_state") == [" watching desk:1, read only"]
        assert app.query_one("#board").styles.opacity == 1.0
        assert heights(app) == size[1]


async def test_another_run_ends_the_screen_so_that_it_is_made_anew() -> None:
    async with viewing() as (pilot, app, source, _):
        source.state = ViewerState(is_live=False, text="", is_replaced=True)
        app.poll()
        await pilot.pause()
    assert app.return_code == OTHER_RUN


async def test_keys_move_switches_and_ctrl_c_ends_the_viewer() -> None:
    async with viewing() as (pilot, app, _, controls):
        await pilot.press("g")
        assert controls.moves == [("gear_handle", "up")]
        await pilot.press("ctrl+c")
        await pilot.pause()
        assert app.return_code == 0


async def test_a_kiosk_shows_one_page_without_keys() -> None:
    async with viewing(page=Section.LAMPS, kiosk=True) as (pilot, app, _, controls):
        assert lines(app, "viewer_state") == []
        assert lines(app, "keys") == []
        assert heights(app) == 24
        before = lines(app, "board")
        for key in ("g", "q", "1", "right", "question_mark", "l"):
            await pilot.press(key)
        await pilot.click("#board", offset=(20, 8))
        app.poll()
        await pilot.pause()
        assert app.is_running
        assert lines(app, "board") == before
        assert controls.moves == []
        await pilot.press("ctrl+c")
        await pilot.pause()
    assert app.return_code == 0


@pytest.mark.parametrize("page", list(Section))
async def test_each_page_can_be_the_first(page: Section) -> None:
    async with viewing(page=page) as (_, app, _, _):
        assert app._pages.section is page


def minute() -> list[Snapshot]:
    """Half a minute in which the aircraft becomes faster."""
    found = []
    for tick in range(61):
        aircraft = replace(scenes.CRUISE.aircraft, airspeed_kias=3.0 * tick)
        found.append(replace(scenes.CRUISE, time_s=100.0 + 0.5 * tick, aircraft=aircraft))
    return found


async def test_a_viewer_that_joins_shows_what_one_shows_that_was_there_before() -> None:
    pages = []
    for is_new in (False, True):
        async with viewing(size=(120, 40)) as (pilot, app, source, _):
            source.past = minute() if is_new else ()
            for snapshot in minute()[-1:] if is_new else minute():
                source.now = snapshot
                app.poll()
            await pilot.pause()
            pages.append(lines(app, "board"))
    assert pages[0] == pages[1]
    assert any("\u2800" < sign <= "\u28ff" for line in pages[1] for sign in line)


async def test_a_connection_again_shows_the_past_as_it_was() -> None:
    async with viewing(size=(120, 40)) as (pilot, app, source, _):
        for snapshot in minute():
            source.now = snapshot
            app.poll()
        before = lines(app, "board")
        source.past = minute()
        app.poll()
        await pilot.pause()
        assert lines(app, "board") == before
