"""The firmware's tests need compilers for AVR boards and the simulator's library."""

from __future__ import annotations

import pytest

from tests.firmware.build import need_tools


@pytest.fixture(autouse=True, scope="session")
def tools() -> None:
    """Skips where they are missing; fails there in CI."""
    need_tools()
