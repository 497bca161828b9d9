"""A server for browsers over a run that is published in the test's own process."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass

from panelbridge.cli.browsing import viewer_command
from panelbridge.cli.viewed_content import VIEWED, viewed_content
from panelbridge.watch.browser.guard import RequestGuard
from panelbridge.watch.browser.server import BrowserServer
from panelbridge.watch.run_files import PublishedRun, runs_folder, write_run
from tests.watch import runs
from tests.watch.talk import TOKEN, Talk, talking

WEB_TOKEN = "token of the browsers"


@dataclass
class Served:
    """A run with a server for browsers.

    Attributes:
        talk: the run.
        port: of the server.
    """

    talk: Talk
    port: int

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def first_address(self) -> str:
        return f"{self.address}/?token={WEB_TOKEN.replace(' ', '%20')}"


@asynccontextmanager
async def served(
    *, kiosk: bool = False, page: str | None = None, font_size: int = 20
) -> AsyncIterator[Served]:
    """A run that allows hands, and its server; the test has set HOME to a folder of its own."""
    content = json.loads(VIEWED.write(viewed_content(runs.loaded(), flies_again=False)))
    async with talking(content=content, hands=True) as talk:
        write_run(runs_folder(), PublishedRun("run1", "Test", 1, "127.0.0.1", talk.outer, TOKEN))
        command = viewer_command(None, page=page, kiosk=kiosk)
        guard = RequestGuard(WEB_TOKEN, "127.0.0.1", "panelbridge_test")
        server = BrowserServer(command, "127.0.0.1", 0, guard, font_size)
        stop, port = asyncio.Event(), asyncio.get_running_loop().create_future()
        serving = asyncio.create_task(server.serve_until(stop, port.set_result))
        serving.add_done_callback(lambda _: port.done() or port.cancel())
        try:
            yield Served(talk, await port)
            while server.browsers:  # the test has closed them: their viewers end
                await asyncio.sleep(0.05)
        finally:
            stop.set()
            await serving
