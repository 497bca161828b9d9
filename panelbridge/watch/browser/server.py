"""Serves a viewer to browsers: textual-serve, with our page, a guard, and fewer words."""

from __future__ import annotations

import asyncio
import logging
from asyncio.subprocess import PIPE, Process
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from aiohttp import web
from aiohttp_jinja2 import render_template
from textual_serve.app_service import AppService
from textual_serve.server import Server

from panelbridge.watch.browser.guard import RequestGuard, RequestVerdict

MOST_BROWSERS = 20
"""Each has a process of its own, of some 60 MB."""
_END_S = 5.0
"""A viewer's process may take this long to end, s."""
_MOST_MESSAGE = 65_536
"""Bytes of a message from a browser."""
_HEADERS = {
    # Nothing from any other address, in no frame of another page, kept by nobody.
    "Content-Security-Policy": (
        "default-src 'self' 'unsafe-inline' data:; connect-src 'self' ws:; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class ViewerProcess(AppService):
    """A viewer's process, which never outlives its browser, nor its browser's connection it.

    Args:
        words: its command.
        options: of the library.
    """

    def __init__(self, words: Sequence[str], **options: Any) -> None:
        super().__init__(" ".join(words), **options)
        self._words = words

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        """Start it without the library's shell: a kill reaches the viewer itself."""
        self._process = process = await asyncio.create_subprocess_exec(
            *self._words,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=self._build_environment(width=width, height=height),
        )
        self._stdin = process.stdin
        return process

    async def run(self) -> None:
        """Pass on what it shows; then close the connection, for one that was killed did not ask."""
        await super().run()
        await self.remote_close()

    async def stop(self) -> None:
        """Ask it to end, and see that it does."""
        with suppress(TimeoutError):
            await asyncio.wait_for(super().stop(), _END_S)
        if self._process is not None:
            if self._process.returncode is None:
                with suppress(ProcessLookupError):
                    self._process.kill()
            await self._process.wait()


class BrowserServer(Server):
    """One server; each browser gets a viewer of its own.

    Args:
        command: of the viewer, word by word.
        host: address at which it listens.
        port: at which it listens; 0 = any that is free.
        guard: who may speak to it.
        font_size: of the page, pixels.
    """

    def __init__(
        self, command: Sequence[str], host: str, port: int, guard: RequestGuard, font_size: int
    ) -> None:
        page = Path(__file__).parent / "page"
        super().__init__(" ".join(command), host, port, title="panelbridge", templates_path=page)
        self._words = command
        self._guard = guard
        self._font_size = font_size
        self.browsers: set[asyncio.BaseTransport] = set()
        """The connections of those that watch now."""

    async def serve_until(self, stop: asyncio.Event, ready: Callable[[int], object]) -> None:
        """Serve until ``stop`` is set; ``ready`` is called with the port.

        Raises:
            OSError: the address cannot be had.
        """
        logging.getLogger("textual-serve").setLevel(logging.CRITICAL + 1)
        runner = web.AppRunner(await self._make_app(), access_log=None, shutdown_timeout=2 * _END_S)
        await runner.setup()
        try:
            site = web.TCPSite(runner, self.host, self.port)
            await site.start()
            ready(runner.addresses[0][1])
            await stop.wait()
        finally:
            await runner.cleanup()

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._guarded)
        return app

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing: the command says it."""

    async def on_shutdown(self, app: web.Application) -> None:
        """Cut the browsers off, so that their viewers' processes end."""
        for browser in list(self.browsers):
            browser.close()

    @web.middleware
    async def _guarded(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        is_connection = request.path == "/ws"
        verdict = self._guard.judge(
            request.headers, request.query, request.cookies, is_connection=is_connection
        )
        if verdict is RequestVerdict.GREET:
            return self._greet(request)
        if verdict is not RequestVerdict.SERVE:
            return web.Response(status=403, text=f"{verdict}\n", headers=_HEADERS)
        if request.path == "/static/":  # the library would list its folder
            return web.Response(status=404, headers=_HEADERS)
        response = await handler(request)
        if not response.prepared:
            response.headers.update(_HEADERS)
        return response

    def _greet(self, request: web.Request) -> web.StreamResponse:
        """The token leaves the address bar: it stays in a cookie that no script can read."""
        query = {name: value for name, value in request.query.items() if name == "fontsize"}
        response = web.Response(
            status=303, headers={**_HEADERS, "Location": str(request.rel_url.with_query(query))}
        )
        response.set_cookie(
            self._guard.cookie, self._guard.token, httponly=True, samesite="Strict", path="/"
        )
        return response

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """A browser's connection: it has a viewer of its own, whose process ends with it."""
        browser = request.transport
        if browser is None or len(self.browsers) >= MOST_BROWSERS:
            raise web.HTTPServiceUnavailable(text=f"{MOST_BROWSERS} browsers watch already\n")
        self.browsers.add(browser)
        try:
            connection = web.WebSocketResponse(heartbeat=15, max_msg_size=_MOST_MESSAGE)
            await connection.prepare(request)

            async def close() -> None:
                await connection.close()

            viewer = ViewerProcess(
                self._words,
                write_bytes=connection.send_bytes,
                write_str=connection.send_str,
                close=close,
                download_manager=self.download_manager,
            )
            try:
                await viewer.start(_cells(request, "width", 80), _cells(request, "height", 24))
                with suppress(ArithmeticError, AssertionError, LookupError, TypeError, ValueError):
                    await self._process_messages(connection, viewer)  # until it sends garbage
            finally:
                await viewer.stop()
            return connection
        finally:
            self.browsers.discard(browser)

    async def handle_index(self, request: web.Request) -> web.Response:
        """The page; its connection goes where the page came from."""
        try:
            size = min(max(int(request.query.get("fontsize", "")), 4), 80)
        except ValueError:
            size = self._font_size
        context = {"font_size": size, "connection": f"ws://{request.host}/ws"}
        return render_template("app_index.html", request, context)


def _cells(request: web.Request, name: str, default: int) -> int:
    """A size of the browser's screen."""
    try:
        return min(max(int(request.query.get(name, "")), 1), 1000)
    except ValueError:
        return default
