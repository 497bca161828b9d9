"""README.md shows the real program: text and styles of each picture are what it shows today."""

from __future__ import annotations

import re

import pytest

from tests.own_process import REPOSITORY
from tests.pictures.cells import Cell, differences
from tests.pictures.readme import FOLDER, PICTURES, RENEW, DrawnPicture, ScreenPicture
from tests.pictures.svg import cells_in, svg_of


@pytest.mark.parametrize("picture", PICTURES, ids=lambda picture: picture.name)
async def test_the_picture_is_what_the_program_shows(
    picture: ScreenPicture | DrawnPicture,
) -> None:
    assert picture.path.exists(), f"{RENEW} makes it"
    changes = await picture.changes(picture.path.read_text("utf-8"))
    told = "\n".join([f"{picture.path.name} differs: '{RENEW}' makes it again", *changes])
    assert not changes, told


def test_the_readme_shows_these_pictures_and_no_others() -> None:
    readme = (REPOSITORY / "README.md").read_text("utf-8")
    shown = re.findall(r"(?:\]\(|src=\")([^)\"]*\.svg)", readme)
    named = [picture.path.relative_to(REPOSITORY).as_posix() for picture in PICTURES]
    assert sorted(shown) == sorted(named)
    assert sorted(FOLDER.glob("*.svg")) == sorted(picture.path for picture in PICTURES)


RED = "#ff0000"
GRID = [
    [Cell("a", RED), Cell(" "), Cell("&", RED, "#0000ff", bold=True), Cell("─", "#aaaaaa")],
    [Cell(" ", RED, underlined=True), Cell("▀", RED), Cell("⣀", RED), Cell(">", RED, "#222222")],
    [Cell("界", RED), Cell("", RED), Cell("▌", RED, bold=True), Cell("x", RED, underlined=True)],
]


def test_a_picture_is_read_back_as_it_was_drawn() -> None:
    assert cells_in(svg_of(GRID, "title <&>")) == GRID


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (Cell("b", "#ff0000"), ["row 1: stored |a &─", "shown |b &─"]),
        (
            Cell("a", "#ff0000", bold=True),
            ["row 1, columns 1 to 1: stored #ff0000 on #171614, shown #ff0000 on #171614 bold"],
        ),
    ],
)
def test_a_difference_is_said_in_words(new: Cell, said: list[str]) -> None:
    changed = [[new, *GRID[0][1:]], *GRID[1:]]
    assert [line.strip() for line in differences(GRID, changed)] == said


def test_another_size_is_a_difference() -> None:
    assert differences(GRID, GRID[:2]) == ["rows and columns: stored (3, 4), shown (2, 4)"]
