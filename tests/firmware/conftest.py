"""The firmware's tests need compilers for AVR boards and the simulator's library."""

from __future__ import annotations

import pytest

from tests.firmware.build import need_tools


@pytest.fixture(autouse=True, scope="module")
def tools(request: pytest.FixtureRequest) -> None:
    """Skips where they are missing; fails there in CI. What is MicroPython needs none of them."""
    if "pico" not in request.module.__name__:
        need_tools()
