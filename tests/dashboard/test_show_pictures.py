"""The show panel over the panel page, paused with two parts broken, as a stored picture."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.engine.show_state import ShowState
from tests.dashboard.test_show import FakeShow, Shown

Compare = Callable[..., bool]
SIZES = {"80x24": (80, 24), "120x40": (120, 40)}


@pytest.mark.parametrize("size", SIZES)
def test_show_panel(snap_compare: Compare, size: str) -> None:
    broken = ("left leg hung", "left green dead")
    shown = Shown(FakeShow(), ShowState(is_paused=True, rate=0.5, phase=3, broken=broken))
    shown.source.now = replace(shown.source.now, time_s=128.6, phase="approach")

    async def open_panel(pilot: Pilot[None]) -> None:
        await pilot.press("1", "f8", *"left", "down")

    assert snap_compare(shown.app, terminal_size=SIZES[size], run_before=open_panel)
