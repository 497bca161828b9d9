"""The bring-up's screen as stored pictures: look at each change before you accept it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.dashboard.bring_up_scenes import scene

Compare = Callable[..., bool]
SIZES = {"80x24": (80, 24), "120x40": (120, 40)}


@pytest.mark.parametrize("size", SIZES)
def test_note(snap_compare: Compare, size: str, tmp_path: Path) -> None:
    with scene(tmp_path) as made:
        made.wait(1.0)
        assert snap_compare(made.app, terminal_size=SIZES[size])


@pytest.mark.parametrize("size", SIZES)
def test_switch_that_nothing_comes_of(snap_compare: Compare, size: str, tmp_path: Path) -> None:
    with scene(tmp_path) as made:
        made.to("switch", "lamp_test")
        made.wait(9.0)
        assert snap_compare(made.app, terminal_size=SIZES[size])


@pytest.mark.parametrize("size", SIZES)
def test_correction(snap_compare: Compare, size: str, tmp_path: Path) -> None:
    with scene(tmp_path) as made:
        made.to("change")
        assert snap_compare(made.app, terminal_size=SIZES[size])


@pytest.mark.parametrize("size", ["120x40"])  # the other is README.md's, in tests/pictures
def test_lamp(snap_compare: Compare, size: str, tmp_path: Path) -> None:
    with scene(tmp_path) as made:
        made.to("lamp", "left_red", by_itself=True)
        assert snap_compare(made.app, terminal_size=SIZES[size])


def test_lamps_of_a_large_panel(snap_compare: Compare, tmp_path: Path) -> None:
    with scene(tmp_path, "demo_panel.yaml", ()) as made:
        made.to("note")
        made.run.choose_part("lamp:pump_brakes_amber")
        made.to("lamp", "pump_brakes_amber")
        assert snap_compare(made.app, terminal_size=SIZES["80x24"])


@pytest.mark.parametrize("size", SIZES)
def test_end(snap_compare: Compare, size: str, tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", ["dead=left_green"]) as made:
        made.to("finished")
        assert snap_compare(made.app, terminal_size=SIZES[size])
