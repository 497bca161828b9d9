"""The screen on real pseudo-terminals that cannot draw, hang up, stall or close, and signals.

Each wait is for a condition: the screen is drawn, the process has ended. The time-out of a test
only ends one that fails.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("there is no pseudo-terminal", allow_module_level=True)

import fcntl
import struct
import termios

from panelbridge.cli.terminal import stopped_by_signals
from tests.examples import few_of

REPOSITORY = Path(__file__).parent.parent.parent
PANEL = str(REPOSITORY / "configs/panels/first_lamp.yaml")
COMMANDS = {"demo": ["demo"], "run": ["run", PANEL, "--simulate"]}
DRAWN = b"\x1b[?2004h"
"""The screen's library sends this when it has set up the terminal."""
PAGE = b"locked"
"""Stands on the first page."""
_OWN_TERMINAL = """
import fcntl, os, signal, sys, termios
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
if sys.argv[1] != "0":
    signal.signal(int(sys.argv[1]), signal.SIG_IGN)
os.execv(sys.argv[2], sys.argv[2:])
"""
"""Makes the terminal that it is started with its own, so that this one can hang up on it."""
pytestmark = pytest.mark.timeout(60)
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


def arguments(command: str, *more: str) -> list[str]:
    return [sys.executable, "-m", "panelbridge", *COMMANDS[command], *more]


@dataclass
class ScreenOnPty:
    """A command on a terminal of its own."""

    process: subprocess.Popen[bytes]
    master: int
    said: bytearray = field(default_factory=bytearray)

    def read_until(self, *wanted: bytes) -> None:
        while not all(one in self.said for one in wanted):
            part = self.read()
            assert part, f"it ended: {bytes(self.said)!r}"

    def read(self) -> bytes:
        try:
            part = os.read(self.master, 65536)
        except OSError:  # Linux, when the other side has closed
            return b""
        self.said += part
        return part

    def read_to_the_end(self) -> str:
        while self.read():
            pass
        return self.said.decode(errors="replace")

    def wait(self) -> int:
        return self.process.wait()


class Screens:
    """Starts commands on terminals; what is left of them is killed by ``close``."""

    def __init__(self) -> None:
        self.all: list[ScreenOnPty] = []

    def start(
        self, command: list[str], *, ignored: int = 0, term: str | None = "xterm", rows: int = 40
    ) -> ScreenOnPty:
        environment = {k: v for k, v in os.environ.items() if k != "TERM"}
        environment |= {"PYTHONPATH": str(REPOSITORY)} | ({} if term is None else {"TERM": term})
        master, slave = os.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, 3 * rows, 0, 0))
        line = [sys.executable, "-c", _OWN_TERMINAL, str(int(ignored)), *command]
        process = subprocess.Popen(
            line, stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True
        )
        os.close(slave)
        self.all.append(ScreenOnPty(process, master))
        return self.all[-1]

    def close(self) -> None:
        for one in self.all:
            one.process.kill()
            one.wait()
            with suppress(OSError):
                os.close(one.master)


@pytest.fixture
def screens() -> Iterator[Screens]:
    found = Screens()
    yield found
    found.close()


@pytest.mark.parametrize("command", few_of(COMMANDS))
def test_a_closed_window_ends_it_cleanly(screens: Screens, command: str) -> None:
    screen = screens.start(arguments(command))
    screen.read_until(DRAWN, PAGE)
    os.close(screen.master)
    assert screen.wait() == 0


@pytest.mark.thorough
def test_a_terminal_that_hangs_up_without_a_signal_ends_it_too(screens: Screens) -> None:
    screen = screens.start(arguments("demo"), ignored=signal.SIGHUP)
    screen.read_until(DRAWN, PAGE)
    os.close(screen.master)
    assert screen.wait() == 0


@pytest.mark.parametrize(
    ("command", "number"),
    [
        ("run", signal.SIGHUP),
        pytest.param("demo", signal.SIGTERM, marks=pytest.mark.thorough),
        pytest.param("demo", signal.SIGINT, marks=pytest.mark.thorough),
    ],
)
def test_a_signal_ends_it_and_gives_the_terminal_back(
    screens: Screens, command: str, number: signal.Signals
) -> None:
    screen = screens.start(arguments(command))
    before = termios.tcgetattr(screen.master)
    screen.read_until(DRAWN, PAGE)
    assert termios.tcgetattr(screen.master) != before
    screen.process.send_signal(number)
    said = screen.read_to_the_end()
    assert screen.wait() == 0
    assert "Traceback" not in said
    assert "\x1b[?1049l" in said, "back to the shell's own lines"


@linux_only
@pytest.mark.thorough
def test_a_terminal_that_takes_nothing_does_not_keep_it(screens: Screens) -> None:
    """Nobody reads: its output fills the terminal, and the screen's library waits for it."""
    screen = screens.start(arguments("demo", "--speed", "50"))
    screen.read_until(DRAWN)  # so fast, what stands on the page may never come in one piece
    while not is_stalled(screen.process.pid):
        pass
    screen.process.terminate()
    assert screen.wait() == 0


def is_stalled(pid: int) -> bool:
    """A thread of the process waits to write to its terminal (Linux tells where threads wait)."""
    for task in Path(f"/proc/{pid}/task").iterdir():
        with suppress(OSError):
            if (task / "wchan").read_text() in ("wait_woken", "n_tty_write"):
                return True
    return False


@pytest.mark.parametrize("term", few_of([None, "dumb"]))
def test_a_terminal_that_cannot_draw_is_refused(screens: Screens, term: str | None) -> None:
    screen = screens.start(arguments("demo"), term=term)
    said = screen.read_to_the_end()
    assert screen.wait() == 2
    assert "there is no terminal for the screen" in said
    assert "--headless" in said
    assert "\x1b" not in said


@pytest.mark.parametrize(
    ("command", "stream"),
    [
        ("run", "stdin"),
        pytest.param("demo", "stdout", marks=pytest.mark.thorough),
        pytest.param("demo", "stderr", marks=pytest.mark.thorough),
    ],
)
def test_without_a_terminal_it_says_what_to_use(
    screens: Screens, command: str, stream: str, tmp_path: Path
) -> None:
    redirection = {"stdin": "< /dev/null", "stdout": "> out", "stderr": "2> err"}[stream]
    line = f'cd "{tmp_path}" && exec "$0" "$@" {redirection}'
    screen = screens.start(["/bin/sh", "-c", line, *arguments(command)])
    said = screen.read_to_the_end()
    assert screen.wait() == 2
    if stream == "stderr":
        said = (tmp_path / "err").read_text("utf-8")
    assert "there is no terminal for the screen" in said
    assert "--headless" in said


@pytest.mark.thorough
def test_a_tiny_window_is_no_error(screens: Screens) -> None:
    screen = screens.start(arguments("demo"), rows=1)
    screen.read_until(DRAWN)
    os.write(screen.master, b"q")
    assert "Traceback" not in screen.read_to_the_end()
    assert screen.wait() == 0


@pytest.mark.parametrize(
    ("command", "number"),
    [("run", signal.SIGHUP), ("demo", signal.SIGHUP), ("demo", signal.SIGTERM)],
)
@pytest.mark.thorough
def test_without_a_screen_a_signal_ends_it(command: str, number: signal.Signals) -> None:
    with subprocess.Popen(
        arguments(command, "--headless"),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
    ) as run:
        assert run.stdout is not None
        assert any("board_connected" in line for line in run.stdout)
        run.send_signal(number)
        errors = run.communicate()[1]
    assert (run.returncode, errors) == (0, "")


@linux_only
@pytest.mark.thorough
def test_nohup_keeps_a_run_going_that_has_no_screen() -> None:
    """It has SIGHUP ignored; the run must not listen to it again."""
    with subprocess.Popen(
        ["/bin/sh", "-c", 'trap \'\' HUP; exec "$0" "$@"', *arguments("run", "--headless")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
    ) as run:
        assert run.stdout is not None
        assert any("board_connected" in line for line in run.stdout)
        ignored = Path(f"/proc/{run.pid}/status").read_text().partition("SigIgn:")[2].split()[0]
        assert int(ignored, 16) & 1 << (signal.SIGHUP - 1)
        run.send_signal(signal.SIGTERM)
        assert run.communicate()[1] == ""
    assert run.returncode == 0


@pytest.mark.parametrize(("name", "stops"), [("SIGINT", 1), ("SIGTERM", 1), ("SIGHUP", 0)])
def test_of_the_signals_that_were_ignored_hang_up_alone_stays_so(name: str, stops: int) -> None:
    """As a run has them that a shell started in the background, or ``nohup``."""
    number, stopped = getattr(signal, name), list[str]()
    before = signal.signal(number, signal.SIG_IGN)
    try:
        with stopped_by_signals(lambda: stopped.append(name)):
            signal.raise_signal(number)
        assert stopped == [name] * stops
        assert signal.getsignal(number) is signal.SIG_IGN
    finally:
        signal.signal(number, before)
