"""The panel page as stored pictures of real runs (``real_runs.py``): look at each change.

Also in 16 colours and in none: every state is then still told by its words, signs and grounds.
The pictures of README.md are in ``tests/pictures``.
"""

from __future__ import annotations

import pytest
from textual import constants

from panelbridge.dashboard.pages.page_turner import Section
from tests.dashboard.real_runs import app_at
from tests.dashboard.test_pictures import SIZES, Compare

ALL_SIZES = {**SIZES, "200x60": (200, 60)}


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("three_greens", "120x40"),
        ("three_greens", "60x20"),
        ("transit", "80x24"),
        ("transit", "200x60"),
        ("unsafe", "80x24"),
        ("unsafe", "200x60"),
        ("horn", "60x20"),
        ("horn_silenced", "80x24"),
        ("board_lost", "60x20"),
        ("data_lost", "120x40"),
        ("unsafe_data_lost", "80x24"),
        ("pedestal_lost", "120x40"),
        ("worst", "60x20"),
        ("bad_cable", "120x40"),
        ("bad_cable", "60x20"),
        ("cold_and_dark", "120x40"),
        ("lamp_test", "80x24"),
        ("five_legs", "120x40"),
        ("tail_wheel", "80x24"),
        ("first_lamps", "60x20"),
    ],
)
def test_moment(snap_compare: Compare, name: str, size: str) -> None:
    assert snap_compare(app_at(name), terminal_size=ALL_SIZES[size])


@pytest.mark.parametrize("name", ["unsafe", "three_greens", "board_lost"])
def test_sixteen_colours(snap_compare: Compare, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(constants, "COLOR_SYSTEM", "standard")
    assert snap_compare(app_at(name), terminal_size=(80, 24))


@pytest.mark.parametrize("name", ["unsafe", "three_greens", "board_lost"])
def test_no_colours(snap_compare: Compare, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert snap_compare(app_at(name), terminal_size=(80, 24))


@pytest.mark.parametrize("page", [Section.SWITCHES, Section.LAMPS, Section.OVERVIEW])
def test_other_pages(snap_compare: Compare, page: Section) -> None:
    assert snap_compare(app_at("unsafe", page=page), terminal_size=(120, 40))
