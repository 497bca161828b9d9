"""The publisher on real sockets: who is let in, who gets what, and hostile talk."""

from __future__ import annotations

import asyncio
import json
import socket

import pytest
from msgspec.structs import replace

from panelbridge.watch import greeting
from panelbridge.watch.datagrams import DatagramSealer, PublishedPart
from panelbridge.watch.publisher import LOOPBACK, MOST_VIEWERS, asks_why
from tests.watch import runs
from tests.watch.talk import SECRET, TOKEN, talking


async def test_a_viewer_with_the_token_sees_the_newest_snapshot_and_the_log() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        welcome = await viewer.greet()
        assert welcome["run"] == "run1"
        assert welcome["panel"] == "Test panel"
        assert welcome["content"] == {"what": "ever"}
        assert welcome["hands"] is False
        talk.put(replace(runs.snapshot(4), phase="taxi"))
        assert (await viewer.snapshot()).phase == "taxi"
        late = await talk.viewer()
        await late.greet()
        lines = [(await late.reader.readline())[:1] for _ in range(5)]
        assert lines == [b"E"] * 4 + [b"S"]


async def test_the_publisher_shows_that_it_knows_the_token_too() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        first = await viewer.ask(greeting.message(protocol=greeting.PROTOCOL, nonce="mine"))
        theirs = first["nonce"]
        proof = greeting.viewer_proof(TOKEN, theirs, "mine")
        welcome = await viewer.ask(greeting.message(proof=proof))
        assert welcome["proof"] == greeting.publisher_proof(TOKEN, theirs, "mine")
        assert welcome["proof"] != proof
        assert TOKEN not in json.dumps([first, welcome])


@pytest.mark.parametrize("token", ["", "another", TOKEN + " "])
async def test_a_wrong_token_is_refused_in_words_and_sees_nothing(token: str) -> None:
    async with talking() as talk:
        talk.put(runs.snapshot(3))
        viewer = await talk.viewer()
        answer = await viewer.greet(token)
        assert answer == {"refused": "the token is not that of this run"}
        assert await viewer.rest() == b""


async def test_a_proof_that_was_overheard_is_of_no_use() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        first = greeting.message(protocol=greeting.PROTOCOL, nonce="mine")
        theirs = (await viewer.ask(first))["nonce"]
        proof = greeting.message(proof=greeting.viewer_proof(TOKEN, theirs, "mine"))
        assert "run" in await viewer.ask(proof)
        other = await talk.viewer()
        await other.ask(greeting.message(protocol=greeting.PROTOCOL, nonce="mine"))
        assert "refused" in await other.ask(proof)


async def test_another_version_is_told_so() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        await viewer.ask(greeting.message(protocol=99, nonce="mine"))
        answer = await viewer.ask(greeting.message(proof=""))
        assert answer["refused"].startswith("another version")


@pytest.mark.parametrize(
    "request_", [b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n", b"POST /ws HTTP/1.1\r\n\r\n{}"]
)
async def test_a_web_page_that_tries_this_port_is_refused(request_: bytes) -> None:
    async with talking(hands=True) as talk:
        viewer = await talk.viewer()
        await viewer.say(request_)
        answer = await viewer.rest()
        assert answer.startswith(b"HTTP/1.1 403 ")
        assert b"panelbridge web" in answer
        assert talk.orders == []


@pytest.mark.parametrize(
    "line",
    [
        *(
            b"\n",
            b"\xff\xfe\n",
            b"null\n",
            b"[1]\n",
            b"{}\n",
            b'{"nonce": 1}\n',
            b"[" * 900 + b"\n",
        ),
        *(
            b"a" * 100_000 + b"\n",
            b'{"protocol": 1, "nonce": "x"}\n{"proof": "\xc3\xa9"}\n',
            b'{"nonce": "x"}\n[]\n',
        ),
    ],
    ids=lambda line: repr(line[:20]),
)
async def test_garbage_in_place_of_a_greeting_ends_that_connection_alone(line: bytes) -> None:
    async with talking() as talk:
        good, bad = await talk.viewer(), await talk.viewer()
        await good.greet()
        await bad.say(line)
        assert b'"content"' not in await bad.rest()
        talk.put(runs.snapshot(2))
        assert (await good.snapshot()).time_s == 2.0


async def test_datagrams_of_others_are_dropped() -> None:
    """Forged, replayed, and from another port, which the system itself drops."""
    async with talking() as talk:
        viewer = await talk.viewer()
        await viewer.greet()
        sealer = DatagramSealer(SECRET)
        part = PublishedPart(b'{"forged": true}', 0, ())
        forged = DatagramSealer(b"a guess").seal(part)
        stolen = sealer.seal(part)
        assert forged is not None
        assert stolen is not None
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
            other.bind((LOOPBACK, 0))
            other.sendto(stolen, (LOOPBACK, talk.inner))
            other.sendto(b"x" * 60_000, (LOOPBACK, talk.inner))
        talk.send(forged)
        talk.send(b"")
        talk.send(b"y" * 60_000)
        talk.put(runs.snapshot(2))
        assert await viewer.snapshot_at(2.0)
        talk.send(forged)
        talk.put(runs.snapshot(3))
        line = b""
        while not line.startswith(b"S"):
            line = await viewer.reader.readline()
            assert b"forged" not in line
        assert b'"time_s":3.0' in line


async def test_a_read_only_viewer_that_asks_for_something_is_sent_away() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        await viewer.greet()
        await viewer.say(b'["move", "gear_handle", "up"]\n')
        await viewer.rest()
        assert talk.orders == []


async def test_orders_go_through_where_they_may_one_line_each() -> None:
    async with talking(hands=True) as talk:
        viewer = await talk.viewer()
        assert (await viewer.greet())["hands"] is True
        await viewer.say(b'["move",\t"gear_handle", "up"]\n["fly_again"]\n')
        while len(talk.orders) < 2:
            await asyncio.sleep(0)
        assert talk.orders == ['["move", "gear_handle", "up"]', '["fly_again"]']
        await viewer.say(b'{"not": "a list"}\n')
        await viewer.rest()
        assert len(talk.orders) == 2


async def test_a_viewer_without_hands_may_ask_why_and_nothing_else() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        await viewer.greet()
        await viewer.say(b'["why", "nose_green"]\n')
        while not talk.orders:
            await asyncio.sleep(0)
        assert talk.orders == ['["why", "nose_green"]']
        await viewer.say(b'["move", "gear_handle", "up"]\n["why", "horn"]\n')
        await viewer.rest()
        assert len(talk.orders) == 1


@pytest.mark.parametrize("order", [["why"], ["why", 1], ["why", "x" * 301], ["why", "a", "b"]])
def test_a_question_is_a_subject_of_sensible_length(order: list[object]) -> None:
    assert not asks_why(order)


async def test_viewers_that_do_not_read_hold_up_nobody_and_get_nothing_old() -> None:
    """Snapshots of 30 kB, so that some fill what the system keeps for a connection."""
    async with talking() as talk:
        dead = [await talk.viewer() for _ in range(3)]
        for viewer in dead:
            await viewer.greet()
            viewer.writer.transport.pause_reading()  # type: ignore[attr-defined]
        good = await talk.viewer()
        await good.greet()
        padding = "x" * 30_000
        for count in range(1, 41):
            talk.put(replace(runs.snapshot(count), phase=padding))
            assert await good.snapshot_at(float(count))
        seen: list[float] = []
        slow = dead[0]
        slow.writer.transport.resume_reading()  # type: ignore[attr-defined]
        while not seen or seen[-1] < 40.0:
            seen.append((await slow.snapshot()).time_s)
        assert seen == sorted(set(seen))
        assert len(seen) < 40


async def test_one_that_is_cut_off_is_forgotten() -> None:
    async with talking() as talk:
        gone, stays = await talk.viewer(), await talk.viewer()
        await gone.greet()
        await stays.greet()
        gone.writer.transport.abort()
        for count in range(1, 4):
            talk.put(runs.snapshot(count))
            assert await stays.snapshot_at(float(count))


async def test_the_end_of_the_run_is_said_and_the_connection_closed() -> None:
    async with talking() as talk:
        viewer = await talk.viewer()
        await viewer.greet()
        talk.publisher.end("the run has ended")
        assert (await viewer.rest()).endswith(b'B"the run has ended"\n')


async def test_more_viewers_than_there_may_be_are_told_so() -> None:
    async with talking() as talk:
        for _ in range(MOST_VIEWERS):
            assert "run" in await (await talk.viewer()).greet()
        answer = await (await talk.viewer()).greet()
        assert answer["refused"] == f"{MOST_VIEWERS} viewers watch this run already"
        await talk.viewers[0].close()
        while "refused" in await (await talk.viewer()).greet():
            pass
