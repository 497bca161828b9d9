"""The firmware's tests need compilers for AVR boards and the simulator's library."""

from __future__ import annotations

import pytest

from tests.firmware.build import need_tools


@pytest.fixture(autouse=True, scope="module")
def tools(request: pytest.FixtureRequest) -> None:
    """Skips a test if they are missing; fails it in CI. MicroPython tests override this."""
    if "pico" not in request.module.__name__:
        need_tools()
