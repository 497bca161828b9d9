"""The events of a feed: data, connections, what was refused, who may reach it."""

from __future__ import annotations

from msgspec.structs import replace

from panelbridge.engine.feed_watch import FeedWatch
from panelbridge.feeds.feed import FeedHealth, FeedReading, TargetHealth
from panelbridge.signals import Level

OPEN = FeedHealth(True, "UDP 127.0.0.1:45139", "open")
CLOSED = replace(OPEN, is_open=False, text="nobody answers")
TARGET = TargetHealth("sim", True, "TCP 127.0.0.1:1", "open")


def names(watch: FeedWatch, now_s: float, health: FeedHealth) -> list[str]:
    return [event.name for event in watch.changes(now_s, health)]


def test_data_comes_and_goes() -> None:
    watch = FeedWatch("Sim")

    def event(fresh: bool) -> str:
        found = watch.fresh(1.0, FeedReading(fresh=fresh), lambda: OPEN)
        return "" if found is None else f"{found.name} {found.text}"

    assert "feed_lost" in event(False)
    assert event(False) == ""
    assert event(True) == "feed_found aircraft data comes from: Sim (UDP 127.0.0.1:45139)"
    assert "counts as unknown" in event(False)


def test_a_connection_is_lost_only_after_its_time_of_grace() -> None:
    watch = FeedWatch("Sim")
    assert names(watch, 0.0, CLOSED) == []
    assert names(watch, 0.9, OPEN) == []
    assert names(watch, 1.0, CLOSED) == []
    (lost,) = watch.changes(2.0, CLOSED)
    assert (lost.name, lost.level) == ("feed_connection_lost", Level.FAULT)
    assert lost.text == "Sim: UDP 127.0.0.1:45139: nobody answers"
    assert names(watch, 3.0, CLOSED) == []
    assert names(watch, 4.0, replace(CLOSED, text="wrong password")) == ["feed_connection_lost"]
    assert names(watch, 5.0, OPEN) == ["feed_connection_found"]
    assert names(watch, 6.0, OPEN) == []


def test_each_target_has_its_own() -> None:
    watch = FeedWatch("Sim")
    away = replace(OPEN, targets=(replace(TARGET, is_open=False, text="refused"),))
    watch_at = [names(watch, now_s, away) for now_s in (0.0, 1.0)]
    assert watch_at == [[], ["feed_connection_lost"]]
    shared = replace(CLOSED, targets=(replace(TARGET, is_open=False, way=CLOSED.way),))
    watch = FeedWatch("Sim")
    names(watch, 0.0, shared)
    assert names(watch, 1.0, shared) == ["feed_connection_lost"]  # one way, one event


def test_each_reason_once() -> None:
    watch = FeedWatch("Sim")
    first = replace(OPEN, refused={"empty": 1}, last_refused="empty: byte 0")
    (event,) = watch.changes(0.0, first)
    assert event.text == "Sim: refused: empty: byte 0; more of this is only counted"
    assert names(watch, 1.0, replace(first, refused={"empty": 900})) == []
    assert names(watch, 2.0, replace(first, refused={"empty": 900, "x": 1})) == ["feed_refused"]
    out = replace(OPEN, targets=(replace(TARGET, refused={"gear: no answer": 1}),))
    assert names(watch, 3.0, out) == ["feed_commands_refused"]


def test_reasons_without_end_give_no_events_without_end() -> None:
    watch = FeedWatch("Sim")
    many = replace(OPEN, refused={str(number): 1 for number in range(500)})
    assert len(names(watch, 0.0, many)) == 20
    assert names(watch, 1.0, many) == []


def test_who_may_reach_it_is_said_once() -> None:
    watch = FeedWatch("Sim")
    reachable = replace(OPEN, warnings=("any computer may send",))
    assert names(watch, 0.0, reachable) == ["feed_reachable_by_others"]
    assert names(watch, 1.0, reachable) == []
