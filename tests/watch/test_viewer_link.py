"""A viewer against publishers on real sockets; each wait is for a condition."""

from __future__ import annotations

import asyncio
import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from panelbridge.clock import LiveClock
from panelbridge.errors import UsageError
from panelbridge.watch import greeting, viewer_link
from panelbridge.watch.viewer_link import RunAddress, ViewerLink
from panelbridge.watch.watched_run import Liveness
from tests.watch import runs
from tests.watch.talk import TOKEN, Talk, talking


async def until(condition: Callable[[], bool]) -> None:
    while not condition():
        await asyncio.sleep(0.005)


@pytest.fixture(autouse=True)
def _soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(viewer_link, "RETRY_S", 0.01)


def at(talk: Talk, token: str = TOKEN) -> RunAddress:
    return RunAddress("127.0.0.1", talk.outer, token)


async def test_a_viewer_shows_what_the_engine_published() -> None:
    async with talking(hands=True) as talk:
        link = ViewerLink(lambda: at(talk), LiveClock())
        try:
            welcome = await asyncio.to_thread(link.start)
            assert (welcome.run, welcome.panel, welcome.hands) == ("run1", "Test panel", True)
            assert json.loads(welcome.content) == {"what": "ever"}
            talk.put(runs.snapshot(7))
            await until(lambda: link.snapshot().time_s == 7.0)
            assert runs.same(link.snapshot(), runs.snapshot(7))
            assert link.status().is_live
            link.ask("move", "dimmer", 0.5)
            await until(lambda: bool(talk.orders))
            assert talk.orders == ['["move", "dimmer", 0.5]']
        finally:
            await asyncio.to_thread(link.close)


@pytest.mark.parametrize("token", ["", "wrong"])
async def test_a_wrong_token_is_one_error_in_plain_words(token: str) -> None:
    async with talking() as talk:
        link = ViewerLink(lambda: at(talk, token), LiveClock())
        with pytest.raises(UsageError, match="the token is not that of this run"):
            await asyncio.to_thread(link.start)


def test_nobody_there_is_one_error_in_plain_words() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    link = ViewerLink(lambda: RunAddress("127.0.0.1", port, TOKEN), LiveClock())
    with pytest.raises(UsageError, match="no program listens there") as caught:
        link.start()
    assert f"127.0.0.1:{port}" in str(caught.value)
    assert "--publish" in caught.value.hint


@contextmanager
def impostor(*answers: bytes) -> Iterator[int]:
    """Listens, and answers each line of a viewer with one of these; its port."""
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            connection, _ = server.accept()
            with connection, connection.makefile("rb") as lines:
                for answer in answers:
                    lines.readline()
                    connection.sendall(answer)

        thread = threading.Thread(target=serve)
        thread.start()
        yield server.getsockname()[1]
        thread.join()


NONCE = greeting.message(nonce="theirs")


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ((b"HTTP/1.1 400 Bad Request\r\n\r\n",), "no panelbridge run"),
        ((b"",), "no panelbridge run"),
        ((b"x" * 1_100_000,), "no panelbridge run"),
        ((b"[]\n",), "no panelbridge run"),
        ((NONCE, greeting.message(run="r", content={}, proof="guess")), "does not know the token"),
        ((NONCE, greeting.message(run="r", content={})), "does not know the token"),
        ((NONCE, greeting.message(refused="you are not wanted")), "you are not wanted"),
    ],
)
def test_what_took_the_port_of_a_run_is_not_believed(
    answers: tuple[bytes, ...], words: str
) -> None:
    with impostor(*answers) as port:
        link = ViewerLink(lambda: RunAddress("127.0.0.1", port, TOKEN), LiveClock())
        with pytest.raises(UsageError, match=words):
            link.start()


async def test_the_end_of_a_run_is_said_and_another_run_is_noticed() -> None:
    places: list[RunAddress] = []
    link = ViewerLink(lambda: places[-1], LiveClock())
    try:
        async with talking() as talk:
            places.append(at(talk))
            await asyncio.to_thread(link.start)
            talk.put(runs.snapshot(1))
            await until(lambda: link.snapshot().time_s == 1.0)
            talk.publisher.end("the run has ended")
            await until(lambda: link.status().liveness is Liveness.ENDED)
        assert link.snapshot().time_s == 1.0
        async with talking(run="run2") as other:
            places.append(at(other))
            await until(lambda: link.has_other_run)
    finally:
        await asyncio.to_thread(link.close)


async def test_a_publisher_that_dies_is_said_and_found_again() -> None:
    places: list[RunAddress] = []
    link = ViewerLink(lambda: places[-1], LiveClock())
    try:
        async with talking() as talk:
            places.append(at(talk))
            await asyncio.to_thread(link.start)
            assert talk.publisher._server is not None
            talk.publisher._server.close()
            talk.publisher.drop_viewers()
            await until(lambda: link.status().liveness is Liveness.LOST)
        async with talking() as again:
            places.append(at(again))
            again.put(runs.snapshot(3))
            await until(lambda: link.snapshot().time_s == 3.0)
            assert link.status().is_live
    finally:
        await asyncio.to_thread(link.close)


async def test_garbage_after_the_greeting_is_said_on_the_screen() -> None:
    async with talking() as talk:
        link = ViewerLink(lambda: at(talk), LiveClock())
        try:
            await asyncio.to_thread(link.start)
            talk.publisher._hub._snapshot = b"{}"
            talk.publisher._wake()
            await until(lambda: link.snapshot().time_s == 0.0 and not link.status().is_live)
            assert "not what this version" in link.status().text
        finally:
            await asyncio.to_thread(link.close)
