"""Pictures have all colours whatever terminal the tests run in."""

from __future__ import annotations

import pytest
from textual import constants


@pytest.fixture(autouse=True)
def _true_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(constants, "COLOR_SYSTEM", "truecolor")
