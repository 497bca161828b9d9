"""The lines of a run without a screen: one column for all texts, whatever the event is called."""

from __future__ import annotations

import pytest

from panelbridge.cli.headless import NAME_WIDTH, event_line
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.feeds.feed_events import FEED_EVENTS
from panelbridge.link.session import LINK_EVENTS
from panelbridge.logic.inventory import events_of
from panelbridge.signals import Event, Level

PANELS = sorted(path.name for path in (shipped_folder() / "panels").glob("*.yaml"))


@pytest.mark.parametrize("panel", PANELS)
def test_no_name_of_an_event_breaks_the_column(panel: str) -> None:
    aircraft = load_panel(shipped_config(f"panels/{panel}")).aircraft
    names = {*events_of(aircraft), *LINK_EVENTS, *FEED_EVENTS, "feed_finished"}
    columns = {
        event_line(Event(1.5, name, level, "TEXT")).index("TEXT")
        for name in names
        for level in Level
    }
    assert len(columns) == 1
    assert max(map(len, names)) <= NAME_WIDTH


def test_a_text_of_several_lines_stays_in_its_column() -> None:
    first, second = event_line(Event(1.5, "board_lost", Level.FAULT, "one\ntwo")).split("\n")
    assert first.index("one") == second.index("two")
    assert second.strip() == "two"
