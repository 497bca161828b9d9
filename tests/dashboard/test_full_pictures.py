"""The pages of an aircraft that has everything, as stored pictures: see ``test_pictures.py``."""

from __future__ import annotations

import pytest

from tests.dashboard.fakes import full_app
from tests.dashboard.test_pictures import SIZES, Compare

PAGES = {"switches": "2", "systems": "3", "lamps": "4"}


@pytest.mark.parametrize(
    ("page", "size"), [("switches", "80x24"), ("systems", "120x40"), ("lamps", "80x24")]
)
def test_page(snap_compare: Compare, page: str, size: str) -> None:
    assert snap_compare(full_app(), press=[PAGES[page]], terminal_size=SIZES[size])
