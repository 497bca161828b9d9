"""Guards of the simulated boards' tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from panelbridge.simboard import registry


@pytest.fixture(autouse=True)
def no_board_left() -> Iterator[None]:
    """Fails a test that leaves a simulated board registered or its port open."""
    yield
    left = registry.names()
    for name in left:
        registry.unregister(name)
    assert not left, f"simulated boards left registered: {left}"
