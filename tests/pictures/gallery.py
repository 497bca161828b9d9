"""Every state and every page in every size, in a terminal and in a real browser, to be looked at.

Needs ``rsvg-convert`` and chromium. Beside each picture stands ``third/``, the same at a third of
its size: what is seen of a screen from two metres. ``sheets/`` has them side by side.
"""

from __future__ import annotations

import asyncio
import base64
import os
import shutil
import subprocess
import tempfile
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import asynccontextmanager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.async_api import Browser, Page, async_playwright
from textual.app import App

from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.text.state_words import time_text
from panelbridge.engine.snapshot import Snapshot
from tests.dashboard.real_runs import FLIGHTS, app_at
from tests.own_process import REPOSITORY
from tests.pictures.cells import cells_of
from tests.pictures.svg import svg_of
from tests.watch.browsers import Served, served

TERMINALS = {"60x20": (60, 20), "80x24": (80, 24), "120x40": (120, 40), "200x60": (200, 60)}
BROWSERS = {"1280x800": (1280, 800), "1024x768": (1024, 768), "800x1280": (800, 1280)}
STATES = (
    *("three_greens", "transit", "unsafe", "horn", "board_lost", "data_lost", "bad_cable"),
    "cold_and_dark",
)
PAGE_OF = "unsafe"
"""The state in which every page is shown."""
FONT_SIZE = 16
"""Of the browser's page, as ``panelbridge web`` has it by itself; pixels."""
_PATIENCE_MS = 600_000
_QUIET_S = 0.6
"""Nothing has been painted for this long: the picture is whole, s."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What is pictured."""

    state: str
    page: Section = Section.PANEL

    @property
    def name(self) -> str:
        return self.state if self.page is Section.PANEL else f"page_{self.page}"


SHOWN = (
    *(Shown(state) for state in STATES),
    *(Shown(PAGE_OF, page) for page in Section if page is not Section.PANEL),
)


async def make_gallery(folder: Path, *, browser: bool) -> None:
    """Draw everything into ``folder``."""
    for name in ("terminal", "browser", "third", "sheets"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    for size, cells in TERMINALS.items():
        for shown in SHOWN:
            grid = await cells_of(_app(shown), cells)
            path = folder / "terminal" / f"{shown.name}_{size}.svg"
            path.write_text(svg_of(grid, shown.name), "utf-8")
            convert = ["rsvg-convert", str(path), "-o"]
            subprocess.run([*convert, str(path.with_suffix(".png"))], check=True)
            third = folder / "third" / f"{path.stem}.png"
            subprocess.run([*convert, str(third), "--zoom", str(1 / 3)], check=True)
        print(f"terminal {size}: {len(SHOWN)} pictures")
    async with _chromium() as started:
        if browser:
            with _own_home():
                await _screenshots(folder, started)
        for size in (*TERMINALS, *(BROWSERS if browser else ())):
            paths = [folder / "third" / f"{shown.name}_{size}.png" for shown in SHOWN]
            await _sheet(started, paths, folder / "sheets" / f"{size}.png")


@contextmanager
def _app(shown: Shown) -> Iterator[App[Any]]:
    yield app_at(shown.state, page=shown.page)


# In a browser


@asynccontextmanager
async def _chromium() -> AsyncIterator[Browser]:
    async with async_playwright() as library:
        path = shutil.which("chromium")
        started = await library.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        await started.close()


@contextmanager
def _own_home() -> Iterator[None]:
    """The published run is known in a folder of its own."""
    with tempfile.TemporaryDirectory() as home:
        before = dict(os.environ)
        os.environ.update(HOME=home, USERPROFILE=home, PYTHONPATH=str(REPOSITORY))
        try:
            yield
        finally:
            os.environ.clear()
            os.environ.update(before)


async def _screenshots(folder: Path, started: Browser) -> None:
    """What browsers of all sizes show of a run whose snapshots are those of a flight's states."""
    for fly, (_, names) in FLIGHTS.items():
        wanted = [shown for shown in SHOWN if shown.state in names]
        if not wanted:
            continue
        moments = fly()
        async with served(font_size=FONT_SIZE) as server:
            tabs = [await _Tab.opened(server, started, size) for size in BROWSERS]
            for shown in sorted(wanted, key=lambda shown: moments[shown.state].time_s):
                running = asyncio.create_task(_publish(server, moments[shown.state]))
                for tab in tabs:
                    await tab.show(shown, moments[shown.state])
                    path = folder / "browser" / f"{shown.name}_{tab.size}.png"
                    await tab.page.screenshot(path=path)
                    await _reduce(started, path, folder / "third" / path.name)
                running.cancel()
            for tab in tabs:
                await tab.page.context.close()
        print(f"browser: {len(wanted)} pictures in {len(BROWSERS)} sizes")


async def _publish(server: Served, snapshot: Snapshot) -> None:
    """Again and again, so that no viewer takes the run for dead while another is pictured."""
    while True:
        server.talk.put(snapshot)
        await asyncio.sleep(_QUIET_S / 2)


@dataclass
class _Tab:
    """A page of one size, and all that it was given to paint: of a line only what is new."""

    size: str
    page: Page
    painted: bytearray = field(default_factory=bytearray)

    @classmethod
    async def opened(cls, server: Served, started: Browser, size: str) -> _Tab:
        width, height = BROWSERS[size]
        context = await started.new_context(viewport={"width": width, "height": height})
        tab = cls(size, await context.new_page())
        tab.page.on("websocket", lambda socket: socket.on("framereceived", tab._take))
        await tab.page.goto(server.first_address)
        await tab.page.wait_for_selector("body.-first-byte", timeout=_PATIENCE_MS)
        return tab

    def _take(self, frame: bytes | str) -> None:
        self.painted += frame if isinstance(frame, bytes) else frame.encode()

    async def show(self, shown: Shown, snapshot: Snapshot) -> None:
        """Open its page; wait until the snapshot's time is seen, and until all is painted."""
        await self.page.keyboard.press(str(list(Section).index(shown.page) + 1))
        seen, before = time_text(snapshot.time_s).encode(), -1
        while seen not in self.painted or len(self.painted) != before:
            before = len(self.painted)
            await asyncio.sleep(_QUIET_S)


async def _reduce(started: Browser, path: Path, third: Path) -> None:
    """The same picture at a third of its size."""
    await _picture_of_html(
        started, f'<img id="it" src="{_data(path)}" onload="{_TO_A_THIRD}">', third
    )


_TO_A_THIRD = "this.width = Math.round(this.naturalWidth / 3)"


async def _sheet(started: Browser, paths: Sequence[Path], sheet: Path) -> None:
    """Reduced pictures side by side, with a number below each and no word of what it is."""
    figures = "".join(
        f'<figure><img src="{_data(path)}"><figcaption>{at}</figcaption></figure>'
        for at, path in enumerate(paths, 1)
    )
    await _picture_of_html(started, f'<div id="it">{figures}</div>', sheet)


async def _picture_of_html(started: Browser, body: str, path: Path) -> None:
    page = await started.new_page(viewport={"width": 1400, "height": 900})
    style = (
        "body{margin:0;background:#333;color:#ddd;font:12px sans-serif}"
        "#it{display:inline-block}figure{display:inline-block;margin:6px}figcaption{padding:2px}"
    )
    await page.set_content(f"<style>{style}</style>{body}")
    await page.locator("#it").screenshot(path=path)
    await page.close()


def _data(path: Path) -> str:
    return f"data:image/png;base64,{base64.b64encode(path.read_bytes()).decode()}"
