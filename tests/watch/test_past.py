"""The minute that a viewer is given when it joins: thinned, bounded, and of this flight alone."""

from __future__ import annotations

import binascii
import json
import random
import zlib
from itertools import pairwise

import pytest
from msgspec.structs import replace

from panelbridge.errors import MessageError
from panelbridge.watch.codec import SNAPSHOTS
from panelbridge.watch.past import EACH_S, MOST_LINE, SPAN_S, KeptPast, read_past
from panelbridge.watch.watched_run import WatchedRun
from tests.watch import runs
from tests.watch.talk import talking


def times(past: KeptPast) -> list[float]:
    line = past.line()
    assert line[:1] == b"P"
    return [json.loads(text)["time_s"] for text in read_past(line[1:])]


def filled(*times_s: float, text: str = "") -> KeptPast:
    past = KeptPast()
    for time_s in times_s:
        past.take(SNAPSHOTS.write(replace(runs.snapshot(0), time_s=time_s, phase=text)))
    return past


def test_two_snapshots_a_second_of_the_last_minute_are_kept() -> None:
    found = times(filled(*(0.125 * tick for tick in range(1000))))
    assert found[-1] == 124.5
    assert found[0] == found[-1] - SPAN_S
    steps = {after - before for before, after in pairwise(found)}
    assert steps == {EACH_S}


def test_a_time_in_a_text_is_none() -> None:
    past = filled(1.0, 2.0, text='"time_s":7.0,')
    assert times(past) == [1.0, 2.0]


def test_a_flight_that_begins_again_has_no_past() -> None:
    assert times(filled(50.0, 51.0, 1.0, 2.0)) == [1.0, 2.0]


@pytest.mark.parametrize("times_s", [(), (3.0,), (3.0, 3.1)])
def test_one_moment_is_no_past(times_s: tuple[float, ...]) -> None:
    assert filled(*times_s).line() == b""


def test_snapshots_that_do_not_compress_become_fewer() -> None:
    chance = random.Random(1)
    past = KeptPast()
    for tick in range(120):
        text = "".join(chance.choices("abcdefghijklmnopqrstuvwxyz", k=20_000))
        past.take(SNAPSHOTS.write(replace(runs.snapshot(0), time_s=tick * 0.5, phase=text)))
    assert 10_000 < len(past.line()) <= MOST_LINE
    found = times(past)
    assert found[-1] == 59.5
    assert len(found) > 5


def test_a_flight_of_a_minute_is_a_short_line() -> None:
    past = KeptPast()
    with runs.flown("demo_panel", [60.0 + 0.1 * tick for tick in range(601)]) as flight:
        for snapshot in flight:
            past.take(SNAPSHOTS.write(snapshot))
        assert len(past.line()) < MOST_LINE / 2, len(past.line())
        found = [SNAPSHOTS.read(line) for line in read_past(past.line()[1:])]
        assert 95 < len(found) <= 121
        newest = next(one for one in flight if one.time_s == found[-1].time_s)
        assert runs.same(found[-1], replace(newest, events=()))
        assert newest.time_s > flight[-1].time_s - 2 * EACH_S


async def test_it_comes_before_the_first_snapshot_and_once() -> None:
    async with talking() as talk:
        early = await talk.viewer()
        await early.greet()
        for tick in range(4):
            talk.put(replace(runs.snapshot(1), time_s=float(tick)))
            await early.snapshot_at(float(tick))
        late = await talk.viewer()
        await late.greet()
        lines = [await late.reader.readline() for _ in range(3)]
        assert [line[:1] for line in lines] == [b"P", b"E", b"S"]
        run = WatchedRun("there:1", 0.0)
        run.connected(0.0)
        for line in lines:
            run.take(line, 0.0)
        assert [one.time_s for one in run.take_past()] == [0.0, 1.0, 2.0, 3.0]
        assert run.take_past() == []
        assert run.snapshot().time_s == 3.0


BOMB = binascii.b2a_base64(zlib.compress(b"\n" * 10_000_000))


@pytest.mark.parametrize("line", [b"P", b"Pxyz", b"PeJw=", b"P" + b"AAAA" * 10, b"P" + BOMB])
def test_what_is_no_such_line_is_refused(line: bytes) -> None:
    with pytest.raises(MessageError):
        WatchedRun("there:1", 0.0).take(line, 0.0)
