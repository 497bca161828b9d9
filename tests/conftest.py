"""Guards that hold for every test: nothing is left running or open."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

pytest_plugins = ["pytester"]

# How fast a machine is decides nothing here: neither a deadline nor a slow first draw fails a test.
settings.register_profile(
    "panelbridge", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("panelbridge")


@pytest.fixture(autouse=True)
def no_thread_left() -> Iterator[None]:
    """Fails a test that leaves one of our threads running (all ours are named panelbridge-...)."""
    yield
    left = [t for t in threading.enumerate() if t.name.startswith("panelbridge")]
    for thread in left:
        thread.join(timeout=2.0)
    alive = [t.name for t in left if t.is_alive()]
    assert not alive, f"threads left running: {alive}"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what takes minutes: random runs through whole aircraft, and the simulated chips."""
    for item in items:
        path = item.path.as_posix()
        if "/tests/firmware/" in path or "/tests/logic/test_whole_" in path:
            item.add_marker("thorough")
