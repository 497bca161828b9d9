"""The pictures of README.md: screens of real runs, and what the commands draw."""

from __future__ import annotations

import difflib
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, chdir, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from textual.app import App
from typer.testing import CliRunner

from panelbridge.cli.app import app as command_line
from panelbridge.dashboard.pages.page_turner import Section
from tests.dashboard.bring_up_scenes import scene
from tests.dashboard.real_runs import app_at
from tests.own_process import REPOSITORY
from tests.pictures.cells import Grid, cells_of, differences
from tests.pictures.svg import cells_in, svg_of

FOLDER = Path(__file__).parent
RENEW = "python -m tests.pictures"
LARGE, SMALL = (120, 40), (80, 24)


@dataclass(frozen=True, slots=True)
class ScreenPicture:
    """A screen of a real run.

    Attributes:
        name: of the file, without its suffix.
        title: for who hears the picture instead of seeing it.
        open: makes the app that is shown.
        size: columns and rows of the terminal.
        keys: that are pressed first.
    """

    name: str
    title: str
    open: Callable[[], AbstractContextManager[App[Any]]]
    size: tuple[int, int] = LARGE
    keys: Sequence[str] = ()

    @property
    def path(self) -> Path:
        return FOLDER / f"{self.name}.svg"

    async def cells(self) -> Grid:
        """What the program shows."""
        return await cells_of(self.open(), self.size, self.keys)

    async def drawn(self) -> str:
        """The picture as it should be."""
        return svg_of(await self.cells(), self.title)

    async def changes(self, stored: str) -> list[str]:
        """Where the stored picture is not what the program shows."""
        return differences(cells_in(stored), await self.cells())


@dataclass(frozen=True, slots=True)
class DrawnPicture:
    """What a command draws into a file.

    Attributes:
        name: of the file, without its suffix.
        command: in the repository; ``FILE`` is the picture, ``FOLDER`` where it goes.
    """

    name: str
    command: str

    @property
    def path(self) -> Path:
        return FOLDER / f"{self.name}.svg"

    async def drawn(self) -> str:
        """The picture as it should be."""
        with tempfile.TemporaryDirectory() as folder, chdir(REPOSITORY):
            path = Path(folder) / self.path.name
            places = {"FILE": str(path), "FOLDER": folder}
            words = [places.get(word, word) for word in self.command.split()]
            result = CliRunner().invoke(command_line, words)
            assert result.exit_code == 0, result.output
            return path.read_text("utf-8")

    async def changes(self, stored: str) -> list[str]:
        """Where the stored picture is not what the command draws."""
        lines = difflib.unified_diff(
            stored.splitlines(), (await self.drawn()).splitlines(), "stored", "drawn", n=0
        )
        return list(lines)[:12]


def _moment(name: str, page: Section = Section.PANEL) -> Callable[[], Any]:
    @contextmanager
    def opened() -> Iterator[App[Any]]:
        yield app_at(name, page=page)

    return opened


@contextmanager
def _bring_up_asks_for_a_lamp() -> Iterator[App[Any]]:
    with tempfile.TemporaryDirectory() as folder, scene(Path(folder)) as made:
        made.to("lamp", "left_red", by_itself=True)
        yield made.app


PICTURES: tuple[ScreenPicture | DrawnPicture, ...] = (
    ScreenPicture("panel_horn", "The panel page while the horn sounds", _moment("horn")),
    ScreenPicture("panel_board_lost", "The panel page: a board is lost", _moment("board_lost")),
    ScreenPicture("systems", "The systems page", _moment("unsafe", Section.SYSTEMS)),
    ScreenPicture("bring_up", "Bring-up asks for a lamp", _bring_up_asks_for_a_lamp, SMALL),
    DrawnPicture(
        "first_lamp_main",
        "wiring configs/panels/first_lamp.yaml --format svg --output FOLDER",
    ),
    DrawnPicture(
        "gear_timeline",
        "bench configs/scenarios/twin_jet/doors_in_sequence.yaml --timeline FILE --signals "
        "gear_handle,left_door,left_travel,nose_travel,left_green,left_red,handle_red",
    ),
)


async def renew() -> list[Path]:
    """Write every picture that is not what the program shows; returns those."""
    written = []
    for picture in PICTURES:
        drawn = await picture.drawn()
        if not picture.path.exists() or picture.path.read_text("utf-8") != drawn:
            picture.path.write_text(drawn, "utf-8", newline="\n")
            written.append(picture.path)
    return written
