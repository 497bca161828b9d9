"""The rows of a feed below the boards."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.dashboard.blocks.feed_rows import draw_feed, refused_text
from panelbridge.dashboard.text.lines import width_of
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.feeds.feed import NO_HEALTH, FeedHealth, TargetHealth
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource, app_for
from tests.dashboard.text import text_of

FEED = FeedHealth(
    True,
    "UDP 127.0.0.1:45139",
    "open",
    1234,
    {"wrong column count": 12, "airspeed_kias: out of range": 3, "a": 2, "b": 1},
    "wrong column count: 3 and not 5",
    targets=(
        TargetHealth("sim", True, "UDP 127.0.0.1:45138", "open", True, 7),
        TargetHealth("panel", False, "MQTT 10.0.0.7:1883", "wrong user name or password"),
        TargetHealth("other", True, "UDP 127.0.0.1:1", "open"),
    ),
)


def texts(feed: FeedHealth, width: int = 120, *, fresh: bool = True) -> list[str]:
    lines = draw_feed(feed, "My simulator", width, fresh=fresh)
    assert all(width_of(line) == width for line in lines)
    return ["".join(span.text for span in line).rstrip() for line in lines]


def test_a_built_in_feed_has_none() -> None:
    assert texts(NO_HEALTH) == []


def test_what_comes_what_goes_and_what_is_wrong() -> None:
    feed, refused, sim, panel, why, other = texts(FEED)
    assert feed.split() == [
        *("My", "simulator", "●", "fresh", "1234", "in", "18", "refused", "UDP", "127.0.0.1:45139"),
    ]
    assert refused.strip() == (
        "refused: wrong column count 12, airspeed_kias: out of range 3, a 2, others 1; last: "
        "wrong column count: 3 and not 5"
    )
    assert "● sending" in sim
    assert "7 out" in sim
    assert "! NOT OPEN" in panel
    assert why.strip() == "MQTT 10.0.0.7:1883: wrong user name or password"
    assert "○ held back" in other


def test_no_data() -> None:
    assert "! NO DATA" in texts(FEED, fresh=False)[0]
    assert "! NOT OPEN" in texts(replace(FEED, is_open=False, text="busy"), fresh=False)[0]


@pytest.mark.parametrize("width", [1, 20, 40, 55, 56, 80, 200])
def test_every_width(width: int) -> None:
    texts(FEED, width)


def test_the_text_of_what_was_refused() -> None:
    assert refused_text({"empty": 2}) == "refused: empty 2"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 24)])
async def test_they_stand_below_the_boards_on_the_screen(size: tuple[int, int]) -> None:
    feed = replace(FEED, targets=FEED.targets[:1])
    snapshot = replace(scenes.CRUISE, feed=feed, feed_name="My simulator", feed_fresh=True)
    source = FakeSource(snapshot)
    app = app_for(source, FakeControls())
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        lines = [text_of(line) for line in app.query_one("#links", LinesWidget).lines]
        shown = "\n".join(lines)
        assert "My simulator" in shown, shown
        assert "refused: wrong column count 12" in shown
        assert "to sim" in shown
        page = app.query_one("#board", LinesWidget)
        drawn = list(page.lines)
        source.now = replace(snapshot, feed=replace(feed, messages=1235, refused={"late": 1}))
        app.poll()
        await pilot.pause()
        lines = [text_of(line) for line in app.query_one("#links", LinesWidget).lines]
        assert any("refused: late 1" in line for line in lines)
        assert list(page.lines) == drawn
