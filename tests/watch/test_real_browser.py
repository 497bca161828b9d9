"""The page in a real browser: it opens, shows the horn, takes a key; two watch, one is killed.

The terminal in the page paints pixels; what it was given to paint is read from the connection.
"""

from __future__ import annotations

import asyncio
import base64
import os
import re
import shutil
import signal
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from msgspec.structs import replace
from playwright.async_api import Browser, Page, WebSocket, async_playwright

from panelbridge.engine import Snapshot
from panelbridge.signals import Event, HornPattern, Level
from tests.own_process import REPOSITORY, Process
from tests.watch import runs
from tests.watch.browsers import Served, served
from tests.watch.process_tree import RunningProcess, below, still_running

CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.skipif(
        CHROMIUM is None and "CI" not in os.environ, reason="chromium is not installed"
    ),
    pytest.mark.timeout(400),
]
_COUNT_RED = """async (picture) => {
    const image = new Image();
    image.src = "data:image/png;base64," + picture;
    await image.decode();
    const canvas = new OffscreenCanvas(image.width, image.height).getContext("2d");
    canvas.drawImage(image, 0, 0);
    const all = canvas.getImageData(0, 0, image.width, image.height).data;
    let count = 0;
    for (let at = 0; at < all.length; at += 4)
        count += all[at] > 200 && all[at] - all[at + 1] > 90 && all[at] - all[at + 2] > 90;
    return count;
}"""
HORN = "the horn sounds: gear not down"


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path))
    monkeypatch.setenv("PYTHONPATH", str(REPOSITORY))


@asynccontextmanager
async def browser() -> AsyncIterator[Browser]:
    assert CHROMIUM is not None, "chromium is needed (apt-get install chromium)"
    async with async_playwright() as library:
        started = await library.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        await started.close()


@dataclass
class Tab:
    """A page, what it was given to paint, and whom it asked for anything."""

    page: Page
    painted: bytearray = field(default_factory=bytearray)
    asked: list[str] = field(default_factory=list)

    def listen(self, connection: WebSocket) -> None:
        connection.on("framereceived", self._take)

    def _take(self, frame: bytes | str) -> None:
        self.painted += frame if isinstance(frame, bytes) else frame.encode()

    async def reddish(self) -> int:
        """Pixels of a warning's red; another page of the browser decodes the picture."""
        picture = base64.b64encode(await self.page.screenshot()).decode()
        assert self.page.context.browser is not None
        other = await self.page.context.browser.new_page()
        count = await other.evaluate(_COUNT_RED, picture)
        await other.close()
        return int(count)


async def opened(address: str, started: Browser, width: int = 1280, height: int = 800) -> Tab:
    context = await started.new_context(viewport={"width": width, "height": height})
    tab = Tab(await context.new_page())
    tab.page.on("websocket", tab.listen)
    tab.page.on("request", lambda request: tab.asked.append(request.url))
    await tab.page.goto(address)
    await tab.page.wait_for_selector("body.-first-byte", timeout=90_000)
    return tab


async def until(server: Served, now: Snapshot, condition: Callable[[], bool]) -> None:
    """Publish a snapshot as a run does, until something is seen."""
    while not condition():
        server.talk.put(now)
        await asyncio.sleep(0.05)


def horn(events: int, text: str) -> Snapshot:
    """The demonstration's aircraft with its horn on."""
    with runs.flown("demo_panel", (3.0,)) as (flown,):
        log = tuple(Event(3.0, "horn_sounded", Level.WARNING, text) for _ in range(events))
        outputs = replace(flown.outputs, horn=HornPattern.CONTINUOUS)
        return replace(flown, outputs=outputs, events=log, event_count=events)


async def test_it_opens_shows_the_horn_takes_a_key_and_asks_no_other_server() -> None:
    silent = horn(0, "")
    silent = replace(silent, outputs=replace(silent.outputs, horn=HornPattern.SILENT))
    async with served() as server, browser() as started:
        tab = await opened(server.first_address, started)
        await until(server, silent, lambda: b"Twin jet" in tab.painted)
        before = await tab.reddish()
        now = horn(1, HORN)
        await until(server, now, lambda: HORN.encode() in tab.painted)
        while await tab.reddish() < before + 50:
            server.talk.put(now)
        await tab.page.keyboard.press("g")
        await until(server, now, lambda: bool(server.talk.orders))
        assert server.talk.orders[0].startswith('["move", "gear_handle", ')
        assert all(url.startswith(server.address) for url in tab.asked), tab.asked


@pytest.mark.thorough
async def test_two_watch_a_run_and_what_is_killed_disturbs_neither_it_nor_the_other() -> None:
    """The whole way: a run, its publisher, the server for browsers, two browsers. SIGKILL."""
    async with watched_run() as (run, web, address), browser() as one:
        first_browser = its_processes()
        async with browser() as other:
            second_browser = its_processes(first_browser)
            first, second = await opened(address, one), await opened(address, other, 1024, 768)
            for tab in (first, second):
                await goes_on(tab)
            viewers = below(web.pid)
            assert len(viewers) == 2
            # A browser is killed: its viewer ends, and nothing of both is left.
            os.kill(first_browser[0].pid, signal.SIGKILL)
            await ended(first_browser)
            while len(left := still_running(viewers)) == 2:
                await asyncio.sleep(0.05)
            await goes_on(second)
            # The viewer behind the other page is killed: the page says so, and comes back.
            os.kill(left.pop(), signal.SIGKILL)
            await second.page.wait_for_selector("body.-closed .closed", timeout=90_000)
            await ended(viewers)
            second.painted.clear()
            await second.page.wait_for_selector("body.-first-byte:not(.-closed)", timeout=90_000)
            await goes_on(second)
            # A viewer that hangs is left by its browser: it does not outlive it.
            hanging = below(web.pid)
            os.kill(hanging[0].pid, signal.SIGSTOP)
            os.kill(second_browser[0].pid, signal.SIGKILL)
            await ended([*second_browser, *hanging])
        assert below(web.pid) == []
        assert await asyncio.to_thread(web.stop) == 0
        assert await asyncio.to_thread(run.stop) == 0
        assert not [line for line in run.lines + web.lines if "Error" in line or "Trace" in line]


@asynccontextmanager
async def watched_run() -> AsyncIterator[tuple[Process, Process, str]]:
    """A simulated panel that is published, the server for browsers, and its address."""
    files = ("configs/panels/demo_panel.yaml", "--feed", "configs/feeds/parked.yaml")
    run = Process("run", *files, "--simulate", "--headless", "--publish")
    processes = [run]
    try:
        await asyncio.to_thread(run.wait_for, "board_connected")
        processes.append(web := Process("web", "--port", "0"))
        line = await asyncio.to_thread(web.wait_for, "http://")
        yield run, web, line.split()[-1]
    finally:
        for process in processes:
            if process.is_running:
                process.kill()


def its_processes(others: Sequence[RunningProcess] = ()) -> list[RunningProcess]:
    """Those of the browser that was started last: first the one that has started the rest."""
    started = [one for one in below(os.getpid()) if one not in others]
    (leader,) = [
        one
        for one in started
        if "--remote-debugging-pipe" in one.command
        and not any(word.startswith("--type=") for word in one.command)
    ]
    return [leader, *below(leader.pid)]


async def goes_on(tab: Tab) -> None:
    """The time of the run goes on in it, by some seconds."""
    first = 0
    while (now := newest_time_s(tab.painted)) < first + 2 or not first:
        first = first or now
        await asyncio.sleep(0.05)


def newest_time_s(painted: bytearray) -> int:
    """The last time of the run that was painted, s."""
    found = re.findall(rb" (\d+):(\d\d) ", painted)
    return 60 * int(found[-1][0]) + int(found[-1][1]) if found else 0


async def ended(processes: Sequence[RunningProcess]) -> None:
    """None of them is left."""
    while still_running(processes):
        await asyncio.sleep(0.05)


@pytest.mark.thorough
async def test_a_page_without_keys_takes_none_and_the_end_of_the_run_is_said() -> None:
    async with served(kiosk=True, page="lamps") as server, browser() as started:
        tab = await opened(server.first_address, started)
        now = horn(1, HORN)
        await until(server, now, lambda: b"Twin jet" in tab.painted)
        for key in ("g", "q", "1", "?"):
            await tab.page.keyboard.press(key)
        server.talk.publisher.end("the run has ended")
        while b"NOT LIVE: the run has ended" not in tab.painted:
            await asyncio.sleep(0.05)
        assert server.talk.orders == []
        assert not await tab.page.locator("body.-closed").count()
