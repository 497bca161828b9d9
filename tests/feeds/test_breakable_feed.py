"""Values of a feed that are lost or held on purpose."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.feeds.breakable_feed import BreakableFeed
from panelbridge.feeds.feed import FeedReading
from panelbridge.feeds.fixed_feed import FixedFeed, parked
from panelbridge.logic.aircraft_values import values_of
from panelbridge.signals import AircraftState

START = parked(3, 2)


class Climbing(FixedFeed):
    """Its altitude is the time."""

    def read(self, now_s: float) -> FeedReading:
        reading = super().read(now_s)
        return replace(reading, aircraft=replace(reading.aircraft, altitude_ft=now_s))


@pytest.fixture
def feed() -> BreakableFeed:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    return BreakableFeed(Climbing(START), values_of(loaded.aircraft))


def altitude(feed: BreakableFeed, now_s: float) -> float | None:
    return feed.read(now_s).aircraft.altitude_ft


def test_whole_it_is_the_feed(feed: BreakableFeed) -> None:
    assert feed.read(1.0) == Climbing(START).read(1.0)


def test_a_lost_value_is_unknown_and_the_others_are_not(feed: BreakableFeed) -> None:
    feed.lose("altitude_ft")
    reading = feed.read(1.0)
    assert reading == replace(Climbing(START).read(1.0), aircraft=replace(START, altitude_ft=None))
    feed.mend("altitude_ft")
    assert altitude(feed, 2.0) == 2.0


def test_a_value_that_is_held_stays_and_mended_is_what_it_would_have_been(
    feed: BreakableFeed,
) -> None:
    assert altitude(feed, 1.0) == 1.0
    feed.hold("altitude_ft")
    assert altitude(feed, 2.0) == 1.0
    feed.mend("altitude_ft")
    assert altitude(feed, 3.0) == 3.0


def test_all_is_held_or_lost_and_comes_back(feed: BreakableFeed) -> None:
    feed.read(1.0)
    feed.hold_all(is_held=True)
    held = feed.read(2.0)
    assert held.fresh
    assert held.aircraft == replace(START, altitude_ft=1.0)
    feed.is_lost = True
    lost = feed.read(3.0)
    assert not lost.fresh
    assert lost.aircraft == AircraftState()
    feed.is_lost = False
    feed.hold_all(is_held=False)
    assert altitude(feed, 4.0) == 4.0


def test_a_lost_value_stays_lost_in_a_held_state(feed: BreakableFeed) -> None:
    feed.read(1.0)
    feed.hold_all(is_held=True)
    feed.lose("altitude_ft")
    assert altitude(feed, 2.0) is None
