"""What a viewer knows, and what it says when it knows no more; time from a virtual clock."""

from __future__ import annotations

import pytest

from panelbridge.errors import MessageError
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from panelbridge.watch.watched_run import SILENT_AFTER_S, Liveness, WatchedRun
from tests.watch import runs


def lines_of(count: int, kept: int = 200) -> list[bytes]:
    snapshot = runs.snapshot(count, kept)
    events = [b"E" + EVENTS.write(event) + b"\n" for event in snapshot.events]
    return [*events, b"S" + SNAPSHOTS.write(snapshot) + b"\n"]


def fed(*counts: int) -> WatchedRun:
    run = WatchedRun("there:1", 0.0)
    run.connected(0.0)
    for count in counts:
        for line in lines_of(count):
            run.take(line, float(count))
    return run


def test_snapshot_and_events_come_together() -> None:
    assert runs.same(fed(3).snapshot(), runs.snapshot(3))


def test_only_the_newest_snapshot_is_read() -> None:
    run = WatchedRun("there:1", 0.0)
    run.take(b"Snot looked at\n", 0.0)
    run.take(lines_of(2)[-1], 0.0)
    assert run.snapshot().time_s == 2.0


def test_a_connection_again_gives_each_event_once() -> None:
    run = fed(3)
    run.lost("gone")
    run.connected(5.0)
    for line in lines_of(4):
        run.take(line, 5.0)
    assert runs.same(run.snapshot(), runs.snapshot(4))
    assert run.status(5.0).is_live


def test_a_run_that_publishes_nothing_is_said_to_stand_still() -> None:
    run = fed(10)
    assert run.status(10.0 + SILENT_AFTER_S).liveness is Liveness.LIVE
    status = run.status(17.0)
    assert status.liveness is Liveness.SILENT
    assert status.text == "nothing has come from there:1 for 7 s"
    run.take(lines_of(11)[-1], 17.0)
    assert run.status(17.1).is_live


def test_events_alone_are_no_sign_of_life() -> None:
    run = fed(10)
    run.take(lines_of(11)[0], 17.0)
    assert run.status(17.0).liveness is Liveness.SILENT


def test_a_lost_connection_is_said_and_ends_with_the_next() -> None:
    run = fed(1)
    run.lost("no program listens there")
    status = run.status(1.0)
    assert status.liveness is Liveness.LOST
    assert status.text == "no connection to there:1: no program listens there"
    run.connected(2.0)
    assert run.status(2.0).is_live


def test_the_end_of_the_run_is_said_whatever_comes_after_it() -> None:
    run = fed(1)
    run.take(b'B"the run has ended"\n', 1.0)
    run.lost("no program listens there")
    assert run.status(100.0).liveness is Liveness.ENDED
    assert run.status(100.0).text == "the run has ended"


@pytest.mark.parametrize("line", [b"", b"\n", b"X\n", b"GET / HTTP/1.1\r\n", b"E{}\n", b"Enull\n"])
def test_garbage_is_one_clear_error(line: bytes) -> None:
    with pytest.raises(MessageError, match="not what this version"):
        fed(1).take(line, 1.0)


def test_a_snapshot_that_is_garbage_is_found_when_it_is_read() -> None:
    run = fed(1)
    run.take(b"S{}\n", 1.0)
    with pytest.raises(MessageError):
        run.snapshot()


@pytest.mark.parametrize("line", [b"B\n", b"B{\n", b"B" + b"[" * 5000 + b"\n", b"B1\n"])
def test_an_end_without_words_is_an_end(line: bytes) -> None:
    run = fed(1)
    run.take(line, 1.0)
    assert run.status(1.0).text == "the run has ended"
