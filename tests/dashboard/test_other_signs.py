"""Terminals that cannot show every sign: each page has others there, and still reads the same."""

from __future__ import annotations

import pytest

from panelbridge.printing.signs import VARIABLE
from tests.dashboard.real_runs import app_at
from tests.dashboard.test_pictures import Compare


@pytest.mark.parametrize("encoding", ["ascii", "cp437"])
@pytest.mark.parametrize("name", ["horn", "board_lost"])
def test_panel_page(
    snap_compare: Compare, name: str, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, encoding)
    assert snap_compare(app_at(name), terminal_size=(120, 40))


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252"])
@pytest.mark.parametrize("name", ["horn", "board_lost"])
async def test_no_other_sign_reaches_the_terminal(
    name: str, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, encoding)
    app = app_at(name)
    async with app.run_test(size=(120, 40)) as pilot:
        for key in ("1", "2", "3", "4", "5", "l", "question_mark"):
            await pilot.press(key)
            await pilot.pause()
            strips = app.screen._compositor.render_strips()
            text = "\n".join(strip.text for strip in strips)
            assert len(text.split()) > 20
            text.encode(encoding)
