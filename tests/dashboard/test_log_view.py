"""The log as a view: filtered, searched, saved."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.log_view.log_filter import EVERY, LeastLevel, LogFilter, marked
from panelbridge.dashboard.log_view.log_screen import LogScreen
from panelbridge.dashboard.text.lines import TextSpan, TextStyle
from panelbridge.engine.event_groups import OTHER, group_of
from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.engine.wiring_hints import WIRING_HINTS
from panelbridge.link.session.link_events import LINK_EVENTS
from panelbridge.logic.systems import EVENTS
from panelbridge.signals import Event, Level
from tests.dashboard.fakes import FakeSource, app_for
from tests.dashboard.test_pictures import SIZES, Compare
from tests.dashboard.text import text_of

EVENTS_SHOWN = (
    Event(1.0, "board_connected", Level.INFO, "the board is live", "gear_panel"),
    Event(2.0, "leg_locked_down", Level.INFO, "the gear handle is down"),
    Event(3.5, "horn_sounded", Level.WARNING, "the horn sounds: throttle closed, gear up"),
    Event(
        4.0, "board_lost", Level.FAULT, "the board does not answer: look at its cable", "gear_panel"
    ),
    Event(5.0, "feed_connection_lost", Level.FAULT, "nothing comes from the simulator", "sim"),
    Event(
        6.0, "speed_limit_exceeded", Level.CAUTION, "the airspeed is above VLE, 200 knots", "vle"
    ),
)
RUN = Snapshot(
    time_s=127.4,
    panel_name="Test panel",
    aircraft_name="Twin jet",
    events=EVENTS_SHOWN,
    event_count=len(EVENTS_SHOWN),
)


class View:
    """A running screen with the log."""

    def __init__(self, pilot: Pilot[None], app: DashboardApp, source: FakeSource) -> None:
        self.pilot, self.app, self.source = pilot, app, source

    @property
    def log(self) -> LogScreen:
        screen = self.app.screen
        assert isinstance(screen, LogScreen)
        return screen

    def text(self) -> str:
        return "\n".join(text_of(line).rstrip() for line in self.log.body.lines)

    def marks(self, style: TextStyle) -> list[str]:
        return [span.text for line in self.log.body.lines for span in line if span.style is style]

    async def show(self, snapshot: Snapshot) -> None:
        self.source.now = snapshot
        self.app.poll()
        self.log.redraw()
        await self.pilot.pause()


@asynccontextmanager
async def viewing(
    snapshot: Snapshot = RUN, size: tuple[int, int] = (100, 24)
) -> AsyncIterator[View]:
    source = FakeSource(snapshot)
    app = app_for(source, None)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f7")
        await pilot.pause()
        yield View(pilot, app, source)


async def test_tab_filters_by_level() -> None:
    async with viewing() as view:
        assert "6 of 6 shown; 6 so far, all are kept" in view.text()
        await view.pilot.press("tab")
        assert "4 of 6 shown" in view.text()
        assert "the gear handle is down" not in view.text()
        await view.pilot.press("tab")
        assert view.log.filter.least is LeastLevel.WARNING
        assert "3 of 6 shown" in view.text()
        assert "VLE" not in view.text()
        await view.pilot.press("tab")
        assert view.log.filter == LogFilter()


async def test_shift_and_tab_filters_by_subject() -> None:
    async with viewing() as view:
        seen = []
        for _ in range(6):
            await view.pilot.press("shift+tab")
            seen.append(view.log.filter.subject)
        assert seen == ["Feed", "Gear", "Horn", "Link", "Speed limits", EVERY]
        await view.pilot.press("shift+tab", "shift+tab", "shift+tab", "shift+tab")
        assert "2 of 6 shown" in view.text()
        assert "the board is live" in view.text()


async def test_the_memory_is_said_when_events_were_forgotten() -> None:
    many = tuple(Event(float(at), "x", Level.INFO, f"event {at}") for at in range(KEPT_EVENTS))
    async with viewing(replace(RUN, events=many, event_count=1234)) as view:
        assert f"200 of 200 shown; 1234 so far, the last {KEPT_EVENTS} are kept" in view.text()


async def test_what_is_typed_is_searched_and_marked_and_arrows_go_on() -> None:
    async with viewing() as view:
        await view.pilot.press(*"the b", "backspace", *"BOARD")
        assert "match 2 of 2" in view.text()
        assert view.marks(TextStyle.LIT_WHITE) == ["the board"]
        assert view.marks(TextStyle.HELD) == ["the board"]
        await view.pilot.press("left")
        assert "match 1 of 2" in view.text()
        await view.pilot.press("left")
        assert "match 2 of 2" in view.text()
        await view.pilot.press("right")
        assert "match 1 of 2" in view.text()
        await view.pilot.press("z")
        assert "no match" in view.text()


async def test_a_reader_who_has_scrolled_back_stays_there() -> None:
    many = tuple(Event(float(at), "x", Level.INFO, f"event {at:03}") for at in range(60))
    async with viewing(replace(RUN, events=many, event_count=60)) as view:
        await view.pilot.press("pageup")
        assert "event 049" in view.text()
        more = (*many, Event(61.0, "x", Level.INFO, "event 060"))
        await view.show(replace(RUN, events=more, event_count=61))
        assert "event 049" in view.text()
        assert "event 050" not in view.text()
        assert "11 newer below" in view.text()
        await view.pilot.press("end")
        assert "event 060" in view.text()


async def test_what_is_shown_is_saved_under_a_name_with_the_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with viewing() as view:
        await view.pilot.press("tab", "ctrl+s")
        assert "Save what is shown, 4 events, as panelbridge_log_0h02m07s.txt_" in view.text()
        await view.pilot.press("enter")
        text = (tmp_path / "panelbridge_log_0h02m07s.txt").read_text(encoding="utf-8")
        assert text.splitlines()[0] == "# panelbridge log: Test panel, Twin jet"
        assert "4 of 6 events (cautions and more, everything)" in text
        assert "the gear handle is down" not in text
        assert "     3.500  warning  Horn " in text
        assert [one.message for one in view.app._notifications if "4 events written" in one.message]


async def test_nothing_is_overwritten_without_asking(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with viewing() as view:
        await view.pilot.press("ctrl+s", "enter")
        first = (tmp_path / "panelbridge_log_0h02m07s.txt").read_bytes()
        await view.pilot.press("tab", "ctrl+s", "enter")
        assert "there already" in view.text()
        assert (tmp_path / "panelbridge_log_0h02m07s.txt").read_bytes() == first
        await view.pilot.press("escape")
        assert (tmp_path / "panelbridge_log_0h02m07s.txt").read_bytes() == first
        await view.pilot.press("ctrl+s", "enter", "enter")
        assert (tmp_path / "panelbridge_log_0h02m07s.txt").read_bytes() != first


async def test_the_whole_log_can_be_saved_and_errors_are_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    mine = tmp_path / "mine"
    mine.write_text("of the user", encoding="utf-8")
    async with viewing() as view:
        await view.pilot.press("tab", "tab", "ctrl+s", "tab", *(["backspace"] * 40), *"mine")
        assert "Save the whole log, 6 events, as mine_" in view.text()
        await view.pilot.press("enter", "enter")
        assert "is not a saved log of this program" in view.text()
        assert mine.read_text(encoding="utf-8") == "of the user"
        await view.pilot.press("2", "enter")
        assert "6 of 6 events (all that is kept)" in (tmp_path / "mine2").read_text("utf-8")
        await view.pilot.press("ctrl+s", *"/none/x", "enter")
        assert "folder of this file is not there" in view.text()


async def test_in_a_browser_nothing_is_saved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(DashboardApp, "is_web", property(lambda _: True))
    async with viewing() as view:
        assert "Ctrl+S" not in view.text()
        await view.pilot.press("ctrl+s")
        assert "Save " not in view.text()


async def test_letters_search_and_do_not_quit_or_move_switches() -> None:
    async with viewing() as view:
        await view.pilot.press("q", "l", "f", "g", "1")
        assert "Search qlfg1_" in view.text()
        await view.pilot.press("escape")
        assert not isinstance(view.app.screen, LogScreen)


def test_every_declared_event_has_a_subject() -> None:
    for name in (*EVENTS, *LINK_EVENTS, *WIRING_HINTS):
        event = Event(0.0, name, Level.INFO, "")
        assert group_of(event) != OTHER, name
    assert group_of(Event(0.0, "feed_finished", Level.INFO, "")) == "Feed"
    assert group_of(Event(0.0, "run_published", Level.INFO, "")) == "Viewers"
    assert group_of(Event(0.0, "no_such_thing", Level.INFO, "")) == OTHER


def test_a_mark_takes_nothing_from_a_line() -> None:
    line = (TextSpan("The horn, the HORN"), TextSpan(" horn", TextStyle.QUIET))
    found = marked(line, "Horn")
    assert text_of(found) == text_of(line)
    assert [one.text for one in found if one.style is TextStyle.HELD] == ["horn", "HORN", "horn"]
    assert marked(line, "") == line


def test_the_log_with_a_filter_as_a_picture(snap_compare: Compare) -> None:
    app = app_for(FakeSource(RUN), None)
    keys = ["f7", "tab", *"board"]
    assert snap_compare(app, press=keys, terminal_size=SIZES["80x24"])
