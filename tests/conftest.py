"""Guards that hold for every test: nothing is left running or open."""

from __future__ import annotations

import secrets
import signal
import threading
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

pytest_plugins = ["pytester"]

# The speed of a machine decides nothing: neither a deadline nor a slow first draw fails a test.
settings.register_profile(
    "panelbridge",
    derandomize=True,  # the same examples in every run: the suite is green or red, never both
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "random", settings.get_profile("panelbridge"), derandomize=False, print_blob=True
)
settings.load_profile("panelbridge")  # --hypothesis-profile random is loaded after this file


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Choose the seed of a random run, so that it can be reported and given to every worker."""
    if config.option.hypothesis_profile == "random" and config.option.hypothesis_seed is None:
        config.option.hypothesis_seed = secrets.randbits(32)
    hang_up = getattr(signal, "SIGHUP", None)  # none on Windows
    if hang_up is not None and signal.getsignal(hang_up) is signal.SIG_IGN:
        # Under nohup the programs that tests start would be deaf to it too, and never end.
        signal.signal(hang_up, signal.SIG_DFL)


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Report the seed of a random run; -q hides what stands in the header."""
    if config.option.hypothesis_profile == "random":
        seed = config.option.hypothesis_seed
        terminalreporter.write_line(
            f"random examples; repeat with --hypothesis-profile random --hypothesis-seed {seed}"
        )


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
