"""The look of the screen as stored pictures: look at each change before you accept it.

``pytest tests/dashboard/test_pictures.py --snapshot-update`` accepts the new ones. The words are
checked in the other tests.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.dashboard import scenes
from tests.dashboard.fakes import app_of

Compare = Callable[..., bool]
SIZES = {"80x24": (80, 24), "120x40": (120, 40), "60x20": (60, 20)}


@pytest.mark.parametrize(
    ("name", "size"), [("horn", "120x40"), ("lost", "80x24"), ("transit", "60x20")]
)
def test_moment(snap_compare: Compare, name: str, size: str) -> None:
    assert snap_compare(app_of(name), terminal_size=SIZES[size])


def test_help(snap_compare: Compare) -> None:
    assert snap_compare(app_of("start"), press=["question_mark"], terminal_size=(120, 60))


@pytest.mark.parametrize("name", scenes.SCENES)
async def test_without_colour(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With ``NO_COLOR`` the screen has shades of grey alone; otherwise it has colours."""

    async def has_colours() -> bool:
        app = app_of(name)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            body = app.export_screenshot().partition("<style>")[2].partition("</style>")[0]
        fills = re.findall(r"-r\d+ \{ fill: #(?!c5c8c6)(\w{2})(\w{2})(\w{2})", body)
        assert len(fills) > 5  # c5c8c6 is the exported picture's own
        return any(len(set(fill)) > 1 for fill in fills)

    monkeypatch.delenv("NO_COLOR", raising=False)
    assert await has_colours()
    monkeypatch.setenv("NO_COLOR", "1")
    assert not await has_colours()
