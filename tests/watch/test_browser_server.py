"""The browsers' server on a real socket: hostile requests, and what a page gets."""

from __future__ import annotations

import ast
import asyncio
import errno
import sys
from collections.abc import Mapping
from pathlib import Path

import aiohttp
import pytest

from tests.watch.browsers import WEB_TOKEN, Served, served

COOKIE = {"Cookie": f'panelbridge_test="{WEB_TOKEN}"'}


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path))


async def got(
    server: Served, path: str = "/", headers: Mapping[str, str] = COOKIE
) -> tuple[int, str, Mapping[str, str]]:
    async with (
        aiohttp.ClientSession() as session,
        session.get(server.address + path, headers=headers, allow_redirects=False) as answer,
    ):
        return answer.status, await answer.text("utf-8", "replace"), answer.headers


async def test_the_address_with_the_token_gives_the_cookie_and_leaves_the_address() -> None:
    async with served() as server:
        path = server.first_address.removeprefix(server.address)
        status, _, headers = await got(server, path + "&fontsize=30", {})
        assert status == 303
        assert headers["Location"] == "/?fontsize=30"
        assert headers["Set-Cookie"].startswith("panelbridge_test=")
        assert "HttpOnly" in headers["Set-Cookie"]
        assert "SameSite=Strict" in headers["Set-Cookie"]


async def test_the_page_names_no_other_address_and_allows_none() -> None:
    async with served() as server:
        status, text, headers = await got(server)
        assert status == 200
        assert f'"ws://127.0.0.1:{server.port}/ws"' in text
        assert 'data-font-size="20"' in text
        assert text.count("//") == 2  # the connection, and a comment
        assert "default-src 'self'" in headers["Content-Security-Policy"]
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
        assert 'data-font-size="30"' in (await got(server, "/?fontsize=30"))[1]
        assert 'data-font-size="80"' in (await got(server, "/?fontsize=9000"))[1]


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        ("/", {}, 403),
        ("/?token=wrong", {}, 403),
        ("/static/js/textual.js", {}, 403),
        ("/ws", {}, 403),
        ("/", {**COOKIE, "Host": "evil.example"}, 403),
        ("/", {**COOKIE, "Origin": "http://evil.example"}, 403),
        ("/static/", COOKIE, 404),
        ("/static/../../../../etc/passwd", COOKIE, 404),
        ("/static/%2e%2e/%2e%2e/%2e%2e/etc/passwd", COOKIE, 404),
        ("/download/x", COOKIE, 404),
        ("/static/js/textual.js", COOKIE, 200),
    ],
)
async def test_requests_that_are_refused(
    path: str, headers: Mapping[str, str], status: int
) -> None:
    async with served() as server:
        found, text, _ = await got(server, path, headers)
        assert found == status
        assert WEB_TOKEN not in text


@pytest.mark.parametrize(
    "headers",
    [
        COOKIE,
        {**COOKIE, "Origin": "http://evil.example"},
        {**COOKIE, "Origin": "null"},
        {**COOKIE, "Host": "evil.example", "Origin": "http://evil.example"},
        {"Origin": "own"},
        {"Origin": "own", "Cookie": "panelbridge_test=wrong"},
    ],
    ids=["no origin", "evil origin", "origin null", "evil host", "no cookie", "wrong cookie"],
)
async def test_no_foreign_page_starts_a_viewer(headers: Mapping[str, str]) -> None:
    async with served() as server:
        headers = {
            name: server.address if value == "own" else value for name, value in headers.items()
        }
        async with aiohttp.ClientSession() as session:
            with pytest.raises(aiohttp.WSServerHandshakeError) as caught:
                await session.ws_connect(f"{server.address}/ws", headers=headers)
        assert caught.value.status == 403
        await asyncio.sleep(0)
        assert server.talk.viewers == []


async def test_a_taken_port_is_an_error_of_the_system() -> None:
    """The command makes a plain sentence of it."""
    from panelbridge.watch.browser.guard import RequestGuard
    from panelbridge.watch.browser.server import BrowserServer

    async with served() as server:
        guard = RequestGuard("x", "127.0.0.1", "c")
        other = BrowserServer(["true"], "127.0.0.1", server.port, guard, 16)
        with pytest.raises(OSError, match=str(server.port)) as caught:
            await other.serve_until(asyncio.Event(), lambda port: None)
        assert caught.value.errno == errno.EADDRINUSE


DEAF = """
import os, sys, threading
said = repr((os.getpid(), sys.argv[1:])).encode()
sys.stdout.buffer.write(b"__GANGLION__\\n" + b"D" + len(said).to_bytes(4, "big") + said)
sys.stdout.buffer.flush()
threading.Event().wait()
"""


async def test_a_viewer_that_does_not_end_is_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    """No shell stands between: it gets its words as they are, and the kill reaches itself."""
    from textual_serve.download_manager import DownloadManager

    from panelbridge.watch.browser import server

    monkeypatch.setattr(server, "_END_S", 0.1)
    words = ["two words", '"', "%PATH% $HOME", "&|>"]
    said: asyncio.Queue[bytes] = asyncio.Queue()

    async def nothing(text: str = "") -> None:
        """A browser that has gone."""

    viewer = server.ViewerProcess(
        [sys.executable, "-c", DEAF, *words],
        write_bytes=said.put,
        write_str=nothing,
        close=nothing,
        download_manager=DownloadManager(),
    )
    await viewer.start(80, 24)
    number, arguments = ast.literal_eval((await said.get()).decode())
    assert arguments == words
    await viewer.stop()
    assert viewer._process is not None
    assert (viewer._process.pid, viewer._process.returncode is None) == (number, False)
