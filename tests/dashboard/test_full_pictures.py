"""The pages of an aircraft that has everything, as stored pictures: see ``test_pictures.py``."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.dashboard.fakes import full_app

SIZES = {"80x24": (80, 24), "120x40": (120, 40), "60x20": (60, 20), "40x24": (40, 24)}
PAGES = {"board": "1", "switches": "2", "systems": "3", "lamps": "4"}
Compare = Callable[..., bool]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", PAGES)
def test_page(snap_compare: Compare, page: str, size: str) -> None:
    assert snap_compare(full_app(), press=[PAGES[page]], terminal_size=SIZES[size])


@pytest.mark.parametrize("page", ["switches", "systems"])
def test_last_part(snap_compare: Compare, page: str) -> None:
    """The page before the next one."""
    after = str(int(PAGES[page]) + 1)
    assert snap_compare(full_app(), press=[after, "left"], terminal_size=(80, 24))


def test_switches_of_a_real_panel(snap_compare: Compare) -> None:
    assert snap_compare(full_app(real=True), press=["2"], terminal_size=(80, 24))


def test_full_help(snap_compare: Compare) -> None:
    assert snap_compare(full_app(), press=["question_mark"], terminal_size=(100, 80))
