"""Snapshots as JSON: what comes out is equal, and draws the same pages."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import content_of, fitted_switches
from panelbridge.cli.viewed_content import VIEWED, viewed_content
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.pages.page_turner import SECTIONS
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import Line
from panelbridge.engine import Snapshot
from panelbridge.errors import MessageError
from panelbridge.logic.kit.world import World
from panelbridge.signals import Event, Level
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from tests.dashboard.fakes import FakeSource
from tests.watch import runs

PANELS = sorted(
    path.stem for path in shipped_config("panels/demo_panel.yaml").parent.glob("*.yaml")
)


def travelled(snapshot: Snapshot) -> Snapshot:
    events = tuple(EVENTS.read(EVENTS.write(event)) for event in snapshot.events)
    return replace(SNAPSHOTS.read(SNAPSHOTS.write(snapshot)), events=events)


def drawn(content: ScreenContent) -> list[list[Line]]:
    """Every page."""
    app = DashboardApp(FakeSource(content.snapshot), None, content)
    pages = []
    for section in SECTIONS:
        app._pages.open_first(section)
        pages.append(app._draw_page(content, 120, 40))
    assert all(pages)
    return pages


@pytest.mark.parametrize("panel", PANELS)
def test_a_snapshot_that_travelled_is_equal_and_draws_the_same(panel: str) -> None:
    loaded = runs.loaded(panel)
    viewed = VIEWED.read(VIEWED.write(viewed_content(loaded, flies_again=True)))
    assert viewed.switches == fitted_switches(loaded)
    with runs.flown(panel, (0.0, 5.0, 35.0)) as snapshots:
        assert len(snapshots[-1].events) > 1
        for snapshot in snapshots:
            there = travelled(snapshot)
            assert there == replace(snapshot, world=there.world)
            content = replace(content_of(loaded), snapshot=snapshot)
            assert drawn(replace(viewed.content, snapshot=there)) == drawn(content)


def test_every_field_travels_but_the_logic_s_world() -> None:
    text = SNAPSHOTS.write(Snapshot(world=World({}, 5.0)))
    assert b"world" not in text
    assert b"\n" not in text


def test_a_name_that_is_no_unicode_costs_a_sign_and_not_the_run() -> None:
    event = Event(1.0, "port_missed", Level.FAULT, "/dev/tty\udcff is missing", "gear")
    assert EVENTS.read(EVENTS.write(event)).text == "/dev/tty? is missing"
    with runs.flown("two_boards", (3.0,)) as (snapshot,):
        there = SNAPSHOTS.read(SNAPSHOTS.write(replace(snapshot, feed_name="a\ud800b")))
        wanted = replace(snapshot, feed_name="a?b", world=there.world, events=())
        assert there == wanted


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"null",
        b"[]",
        b"{}",
        b"\xff",
        pytest.param(b"[" * 100_000, id="deep"),
        b'{"time_s": 1}',
        b"NaN",
    ],
    ids=repr,
)
def test_what_is_no_snapshot_is_one_clear_error(text: bytes) -> None:
    with pytest.raises(MessageError, match="not what this version"):
        SNAPSHOTS.read(text)


def test_another_version_s_field_is_refused() -> None:
    text = SNAPSHOTS.write(Snapshot()).replace(b'"phase":', b'"other": 1, "phase":')
    with pytest.raises(MessageError):
        SNAPSHOTS.read(text)


def test_the_page_of_the_browser_is_part_of_the_package() -> None:
    page = Path(__file__).parents[2] / "panelbridge/watch/browser/page/app_index.html"
    assert "http:" not in page.read_text("utf-8")
    assert "https:" not in page.read_text("utf-8")
