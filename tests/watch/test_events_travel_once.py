"""From the engine's snapshots to a viewer: every event once, in order, whatever is lost."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.link.session import BoardHealth, LinkState
from panelbridge.watch.codec import EVENTS, SNAPSHOTS
from panelbridge.watch.datagrams import MOST_BYTES, DatagramOpener, DatagramSealer
from panelbridge.watch.hub import Hub
from panelbridge.watch.snapshot_sender import REPEATED, SnapshotSender
from tests.watch import runs

SECRET = b"secret of this run"


class Way:
    """A sender, the datagrams that get through, and the publisher's memory."""

    def __init__(self, is_lost: Callable[[int], bool] = lambda number: False) -> None:
        self.hub = Hub()
        self._opener = DatagramOpener(SECRET)
        self._is_lost = is_lost
        self.datagrams: list[bytes] = []
        self.sender = SnapshotSender(DatagramSealer(SECRET), self._send)

    def _send(self, datagram: bytes) -> None:
        self.datagrams.append(datagram)
        if not self._is_lost(len(self.datagrams) - 1):
            part = self._opener.open(datagram)
            assert part is not None
            self.hub.take(part)


def numbers(lines: bytes) -> list[int]:
    """The events among a viewer's lines."""
    found = [line[1:] for line in lines.split(b"\n") if line[:1] == b"E"]
    return [int(EVENTS.read(line).time_s) for line in found]


@pytest.mark.parametrize("counts", [(3, 3, 4), (0, 40, 41), (200,), (350, 351)])
def test_each_event_comes_once(counts: tuple[int, ...]) -> None:
    way = Way()
    seen, known = [], 0
    for count in counts:
        way.sender.put(runs.snapshot(count))
        lines, known = way.hub.lines_after(known)
        seen += numbers(lines)
    first = max(counts[0] - 200, 0)
    assert seen == list(range(first, counts[-1]))
    assert all(len(datagram) < MOST_BYTES for datagram in way.datagrams)


def test_more_events_at_once_than_the_engine_keeps_leave_a_gap() -> None:
    way = Way()
    way.sender.put(runs.snapshot(5))
    way.sender.put(runs.snapshot(260))
    lines, _ = way.hub.lines_after(5)
    assert numbers(lines) == list(range(60, 260))


def test_a_viewer_that_comes_late_gets_what_the_engine_keeps() -> None:
    way = Way()
    for count in range(0, 300, 3):
        way.sender.put(runs.snapshot(count))
    lines, known = way.hub.lines_after(0)
    assert known == 297
    assert numbers(lines) == list(range(97, 297))
    assert lines.count(b"\nS") == 1


def test_a_slow_viewer_gets_the_newest_snapshot_and_no_old_one() -> None:
    way = Way()
    for count in range(50):
        way.sender.put(replace(runs.snapshot(count), phase=f"phase {count}"))
    lines, _ = way.hub.lines_after(0)
    snapshots = [line[1:] for line in lines.split(b"\n") if line[:1] == b"S"]
    assert [SNAPSHOTS.read(line).phase for line in snapshots] == ["phase 49"]


@given(
    steps=st.lists(st.integers(0, REPEATED), min_size=1, max_size=30),
    lost=st.sets(st.integers(0, 30), max_size=10),
)
def test_one_lost_datagram_loses_no_event(steps: list[int], lost: set[int]) -> None:
    """Of two that follow each other at most one is lost here, and none has more than REPEATED."""
    lost = {number for number in lost if number - 1 not in lost}
    way = Way(lost.__contains__)
    count = 0
    for step in [*steps, 0, 0]:
        count += min(step, REPEATED // 2)
        way.sender.put(runs.snapshot(count))
    lines, known = way.hub.lines_after(0)
    assert known == count
    assert numbers(lines) == list(range(count))


def test_a_burst_of_long_events_goes_in_many_datagrams() -> None:
    way = Way()
    way.sender.put(runs.snapshot(100, text="long " * 100))
    lines, _ = way.hub.lines_after(0)
    assert numbers(lines) == list(range(100))
    assert len(way.datagrams) > 5
    assert way.sender.too_long == 0


def test_an_event_longer_than_any_datagram_is_counted_and_the_rest_comes() -> None:
    way = Way()
    text = random.Random(1).randbytes(20_000).hex()
    events = (runs.event(0), runs.event(1, text), runs.event(2))
    way.sender.put(replace(runs.snapshot(3), events=events))
    lines, _ = way.hub.lines_after(0)
    assert numbers(lines) == [0, 2]
    assert way.sender.too_long == 1


def test_the_end_comes_last() -> None:
    way = Way()
    way.sender.put(runs.snapshot(1))
    way.hub.end('it "ended"')
    lines, _ = way.hub.lines_after(1)
    assert lines.endswith(b'\nB"it \\"ended\\""\n')
    assert way.hub.has_ended


def _texts(count: int, length: int) -> tuple[str, ...]:
    chance = random.Random(count)
    return tuple(f"{number} {chance.randbytes(length // 2).hex()}" for number in range(count))


@pytest.mark.parametrize(
    ("count", "length", "shown"), [(100, 100, 100), (100, 400, 41), (600, 300, 41), (3, 40_000, 3)]
)
def test_a_snapshot_with_too_many_texts_comes_shorter_and_says_so(
    count: int, length: int, shown: int
) -> None:
    way = Way()
    texts = _texts(count, length)
    whole = runs.snapshot(2)
    logic = replace(whole.logic, faults=texts, horn_causes=texts)
    show = replace(whole.show, broken=texts)
    way.sender.put(replace(whole, logic=logic, show=show, phase="taxi"))
    lines, _ = way.hub.lines_after(0)
    assert numbers(lines) == [0, 1]
    found = SNAPSHOTS.read(lines.split(b"\n")[-2][1:])
    assert found.phase == "taxi"
    for said in (found.logic.faults, found.logic.horn_causes, found.show.broken):
        assert len(said) <= shown
        first = said[0].removesuffix("…")
        assert texts[0].startswith(first)
        assert len(first) > 50
        if count > len(said):
            assert said[-1] == f"{count - len(said) + 1} more: see the screen of the run"
    assert all(len(datagram) <= MOST_BYTES for datagram in way.datagrams)
    assert way.sender.too_long == 0


def test_a_lost_board_s_long_message_is_cut() -> None:
    way = Way()
    long = "".join(_texts(1, 60_000))
    board = BoardHealth("bench", "nano", "COM5", LinkState.WAITING, message=long)
    way.sender.put(replace(runs.snapshot(0), boards=(board,)))
    lines, _ = way.hub.lines_after(0)
    found = SNAPSHOTS.read(lines.split(b"\n")[-2][1:])
    assert found.boards[0].message == long[:199] + "…"
