"""The engine with a feed from outside: read at each turn, asked again, closed at the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import pairwise

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.loop import FEED_REST_S, TICK_S, Engine
from panelbridge.engine.waiter import Waiter
from panelbridge.errors import FeedError
from panelbridge.feeds.feed import Feed, FeedHealth, FeedReading
from panelbridge.feeds.fixed_feed import parked
from panelbridge.signals import AircraftState, Commands, Event

LOADED = load_panel(shipped_config("panels/demo_panel.yaml"))


@dataclass
class MessageFeed(Feed):
    """Gives what a test puts into it at its times."""

    name: str = "messages"
    due: list[float] = field(default_factory=list)
    state: AircraftState = field(default_factory=lambda: parked(3, 2))
    fresh: bool = True
    polls: list[float] = field(default_factory=list)
    reads: list[float] = field(default_factory=list)
    sent: list[Commands] = field(default_factory=list)
    opened: int = 0
    closed: int = 0
    error: FeedError | None = None

    def open(self, now_s: float) -> None:
        if self.error is not None:
            raise self.error
        self.opened += 1

    def poll(self, now_s: float) -> int:
        self.polls.append(now_s)
        ready = [at for at in self.due if at <= now_s]
        self.due = self.due[len(ready) :]
        return len(ready)

    def read(self, now_s: float) -> FeedReading:
        self.reads.append(now_s)
        return FeedReading(self.state if self.fresh else AircraftState(), self.fresh, now_s)

    def send(self, now_s: float, commands: Commands) -> None:
        self.sent.append(commands)

    def restart(self, now_s: float) -> None:
        raise NotImplementedError

    def filenos(self) -> Sequence[int]:
        return [77]

    def health(self) -> FeedHealth:
        return FeedHealth(True, "test", "open", len(self.polls))

    def close(self, now_s: float) -> None:
        self.closed += 1


class WokenWaiter(Waiter):
    """Wakes for the next message of a feed if the engine watches it."""

    def __init__(self, clock: VirtualClock, feed: MessageFeed) -> None:
        super().__init__(clock)
        self._virtual, self._feed = clock, feed

    def wait(self, due_s: float, filenos: Sequence[int]) -> None:
        if 77 in filenos and self._feed.due:
            due_s = min(due_s, self._feed.due[0])
        self._virtual.sleep_until(max(due_s, self._virtual.now() + 1e-6))


@contextmanager
def engine_of(feed: MessageFeed) -> Iterator[tuple[Engine, VirtualClock, list[Event]]]:
    clock = VirtualClock()
    events: list[Event] = []
    engine = Engine(
        LOADED,
        clock=clock,
        waiter=WokenWaiter(clock, feed),
        feed=feed,
        sessions=[],
        on_event=events.append,
    )
    yield engine, clock, events
    engine.close()


def turns_until(engine: Engine, clock: VirtualClock, time_s: float) -> int:
    count = 0
    while clock.now() < time_s:
        engine.turn()
        count += 1
    return count


def test_a_message_is_read_at_once_and_not_at_the_next_tick() -> None:
    feed = MessageFeed(due=[0.113, 0.271])
    with engine_of(feed) as (engine, clock, _):
        engine.open()
        turns_until(engine, clock, 0.3)
    for at in (0.113, 0.271):
        assert any(at <= read < at + 1e-3 for read in feed.reads)


def test_a_flood_does_not_cost_a_turn_a_message() -> None:
    feed = MessageFeed(due=[0.1 + number / 10_000 for number in range(10_000)])
    with engine_of(feed) as (engine, clock, _):
        engine.open()
        count = turns_until(engine, clock, 1.1)
    assert len(feed.due) <= FEED_REST_S * 10_000
    assert count < 1.1 * (2 / FEED_REST_S + 2 / TICK_S)


def test_ticks_keep_their_time_beside_messages() -> None:
    feed = MessageFeed(due=[number * 0.007 for number in range(200)])
    with engine_of(feed) as (engine, clock, _):
        engine.open()
        turns_until(engine, clock, 1.4)
    gaps = [after - before for before, after in pairwise(feed.reads)]
    assert max(gaps) <= TICK_S + 1e-4


def test_the_feed_hears_its_commands_again_when_data_is_back() -> None:
    feed = MessageFeed(fresh=False)
    with engine_of(feed) as (engine, clock, events):
        engine.open()
        turns_until(engine, clock, 0.5)
        before = len(feed.sent)
        feed.fresh = True
        turns_until(engine, clock, 0.6)
        assert len(feed.sent) > before
        count = len(feed.sent)
        turns_until(engine, clock, 2.0)
        assert len(feed.sent) == count
        assert [event.name for event in events if event.subject == "messages"] == [
            *("feed_lost", "feed_found"),
        ]
        assert engine.snapshot().feed.way == "test"


def test_the_feed_is_opened_once_and_closed_before_the_boards() -> None:
    feed = MessageFeed()
    with engine_of(feed) as (engine, _, _):
        engine.open()
        engine.open()
        engine.post(lambda now_s: engine.stop())
        engine.run()
        assert (feed.opened, feed.closed) == (1, 1)


def test_a_feed_that_cannot_work_ends_the_run_before_it_begins() -> None:
    feed = MessageFeed(error=FeedError("the address is taken"))
    with engine_of(feed) as (engine, _, events):
        with pytest.raises(FeedError):
            engine.open()
        assert feed.reads == []
        assert events == []
