"""Guards that hold for every test: nothing is left running or open."""

from __future__ import annotations

import gc
import importlib
import os
import re
import secrets
import signal
import sys
import threading
from collections.abc import Generator, Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from xdist.remote import Producer
from xdist.scheduler import LoadScopeScheduling

pytest_plugins = ["pytester"]

# The speed of a machine decides nothing: neither a deadline nor a slow first draw fails a test.
settings.register_profile(
    "thorough",  # all examples
    derandomize=True,  # the same examples in every run: the suite is green or red, never both
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("gate", settings.get_profile("thorough"), max_examples=40)
settings.register_profile("panelbridge", settings.get_profile("thorough"), max_examples=20)
settings.register_profile(
    "random", settings.get_profile("thorough"), derandomize=False, print_blob=True
)
settings.load_profile("panelbridge")  # --hypothesis-profile NAME is loaded after this file

# Programs that tests start, and every worker, find compiled what another has compiled.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

TESTS = Path(__file__).parent
THOROUGH = ("firmware/", "logic/test_whole_")
"""Files in which every test is thorough, by how their path in this folder begins."""
SOME_THOROUGH = re.compile(r"\bthorough\b|\bfew_of\b")
"""What stands in every other file that has thorough tests."""

SHARED = {
    "tests/firmware/test_contract_avr.py",
    "tests/worst_day/test_worst_day.py",
}
"""Files that take minutes, shared test by test."""
WAITING = {
    "tests/feeds/draft/test_unknown_streams.py",
    "tests/feeds/test_flight_process.py",
    "tests/feeds/test_two_hosts.py",
    "tests/feeds/transports/test_mqtt_broker.py",
    "tests/simboard/test_contract_pty.py",
    "tests/watch/test_real_browser.py",
    "tests/wiring/new_panel/test_new_panel.py",
}
"""Files that wait most of their time, for real time to pass: one worker begins with them, while the
others have the cores."""
FLYING = re.compile(r"\bfrom tests\.(dashboard\.real_runs|pictures\.readme) import\b")
"""What stands in files whose tests show moments of whole flights."""


def _is_thorough(path: Path) -> bool:
    return path.is_relative_to(TESTS) and path.relative_to(TESTS).as_posix().startswith(THOROUGH)


def pytest_make_parametrize_id(val: object) -> str | None:
    """A short name for a long value: pytest puts it into the environment, which Windows limits."""
    if isinstance(val, str | bytes) and len(val) > 1000:
        return f"{len(val)}_{'bytes' if isinstance(val, bytes) else 'characters'}"
    return None


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


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """More workers than cores: some wait for the programs that they have started."""
    return max(2, (os.cpu_count() or 1) * 3 // 2)


@cache
def _flies(path: Path) -> bool:
    """Its tests show moments of whole flights, which take seconds and are flown once a worker."""
    return FLYING.search(path.read_text(encoding="utf-8")) is not None


class _Scheduling(LoadScopeScheduling):  # type: ignore[misc]
    """All tests of a file in one worker, all that fly, for what they make is made only there, and
    all that wait."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.partition("::")[0]
        if file in SHARED:
            return nodeid
        if file in WAITING:
            return "waiting"
        return "flights" if _flies(TESTS.parent / file) else file


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> _Scheduling | None:
    """Share the tests among the workers, unless another way was asked for."""
    if config.option.dist != "load":
        return None
    config.option.loadscopereorder = False  # their number says little of their time
    return _Scheduling(config, log)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave files unread of which no test would run, unless they are named."""
    match config.option.markexpr:
        case "not thorough":
            unread = _is_thorough(collection_path)
        case "thorough":
            unread = collection_path.match("test_*.py") and not (
                _is_thorough(collection_path)
                or SOME_THOROUGH.search(collection_path.read_text(encoding="utf-8"))
            )
        case _:
            return None
    return unread or None


def pytest_collectstart(collector: pytest.Collector) -> None:
    """Let each worker begin at another file, so that in a fresh checkout they share the compiling.

    Pytest compiles tests itself, for what it says when one fails, and keeps the result.
    """
    config = collector.config
    worker = getattr(config, "workerinput", None)
    if worker is None or not isinstance(collector, pytest.Session) or config.args != ["tests"]:
        return
    files = [
        path for path in sorted(TESTS.rglob("test_*.py")) if not pytest_ignore_collect(path, config)
    ]
    first = int(worker["workerid"].removeprefix("gw")) * len(files) // worker["workercount"]
    for path in files[first:] + files[:first]:
        # What cannot be imported is reported by the collection.
        with suppress(Exception, pytest.skip.Exception):
            importlib.import_module(".".join(path.relative_to(TESTS.parent).with_suffix("").parts))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what takes minutes, and put first what flies and what waits: the longest shares."""
    for item in items:
        if _is_thorough(item.path):
            item.add_marker("thorough")
    items.sort(
        key=lambda item: (not _flies(item.path), item.nodeid.partition("::")[0] not in WAITING)
    )


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Spare the garbage collector thousands of tests that live to the end."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.collect()
        gc.freeze()
        gc.set_threshold(10_000, 20, 50)
        gc.enable()
