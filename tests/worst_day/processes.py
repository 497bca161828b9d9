"""Commands of ours as processes of their own: their lines can be waited for, nothing sleeps."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from panelbridge.clock import LiveClock
from tests.worst_day.attack import Lost

REPOSITORY = Path(__file__).parent.parent.parent


@dataclass
class Patience:
    """Turns a hang into a failure; nothing that goes well comes near it."""

    seconds: float = 120.0


PATIENCE = Patience()
CLOCK = LiveClock()
_LOOK_EACH_S = 0.01
_CLOSED = -2


def wait_until(condition: Callable[[], bool], what: str) -> None:
    """Look until ``condition`` holds. Raises: Lost."""
    end_s = CLOCK.now() + PATIENCE.seconds
    while not condition():
        if CLOCK.now() > end_s:
            raise Lost(f"waited {PATIENCE.seconds:g} s in vain: {what}")
        CLOCK.sleep_until(CLOCK.now() + _LOOK_EACH_S)


def surroundings() -> dict[str, str]:
    """As a user has them: output that is buffered fails once more at the very end."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    return {**kept, "PYTHONPATH": str(REPOSITORY), "PYTHONIOENCODING": "utf-8"}


class Process:
    """A command of ours.

    Args:
        arguments: after ``panelbridge``.
        output: a file number for its standard output, CLOSED; None = its lines are read here.
        errors: the same for its standard error; None = kept, see ``complaints``.
        most_memory: address space that it may use, bytes; None = any.
    """

    CLOSED = _CLOSED

    def __init__(
        self,
        *arguments: str | Path,
        output: int | None = None,
        errors: int | None = None,
        most_memory: int | None = None,
    ) -> None:
        self.lines: list[str] = []
        self.times_s: list[float] = []
        self._taken = 0
        self._ended = False
        self._changed = threading.Condition()
        self._complaints = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the process
        command = [sys.executable, "-m", "panelbridge", *map(str, arguments)]
        shut = "".join(
            f" {number}>&-" for number, to in ((1, output), (2, errors)) if to == _CLOSED
        )
        limit = f"ulimit -v {most_memory // 1024}; " if most_memory else ""
        if shut or limit:
            command = ["sh", "-c", f'{limit}exec "$@"{shut}', "sh", *command]
        self.process = subprocess.Popen(
            command,
            cwd=REPOSITORY,
            env=surroundings(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE if output is None else _opened(output),
            stderr=self._complaints if errors is None else _opened(errors),
        )
        self._reader: threading.Thread | None = None
        if output is None:
            assert self.process.stdout is not None
            self._reader = threading.Thread(target=self._read, args=(self.process.stdout,))
            self._reader.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.kill()
        self._complaints.close()

    def _read(self, output: IO[bytes]) -> None:
        for line in output:
            text = line.decode("utf-8", "backslashreplace").removesuffix("\n")
            with self._changed:
                self.lines.append(text)
                self.times_s.append(CLOCK.now())
                self.take_line(text)
                self._changed.notify_all()
        output.close()
        with self._changed:
            self._ended = True
            self._changed.notify_all()

    def take_line(self, text: str) -> None:
        """A line has come."""

    def until(self, condition: Callable[[], bool], what: str) -> None:
        """Wait until ``condition``, about its lines, holds. Raises: Lost."""
        with self._changed:
            self._changed.wait_for(lambda: condition() or self._ended, PATIENCE.seconds)
            if not condition():
                why = "it ended" if self._ended else f"waited {PATIENCE.seconds:g} s"
                raise Lost(f"no {what}: {why}; {self.lines[-3:]} {self.complaints()[-300:]}")

    def wait_for(self, text: str) -> float:
        """Wait for the next line with ``text`` in it; gives the time when it came. Raises: Lost."""
        found = -1

        def there() -> bool:
            nonlocal found
            for at in range(self._taken, len(self.lines)):
                if text in self.lines[at]:
                    found = at
                    return True
            return False

        self.until(there, f"line with {text!r}")
        self._taken = found + 1
        return self.times_s[found]

    def skip(self) -> None:
        """Wait only for lines that come from now on."""
        with self._changed:
            self._taken = len(self.lines)

    def order(self, text: str) -> None:
        """Type a line."""
        assert self.process.stdin is not None
        self.process.stdin.write(text.encode() + b"\n")
        self.process.stdin.flush()

    def send(self, number: int) -> None:
        """Send a signal."""
        self.process.send_signal(number)

    def complaints(self) -> str:
        """What it has written to its standard error."""
        size = os.fstat(self._complaints.fileno()).st_size
        return os.pread(self._complaints.fileno(), size, 0).decode("utf-8", "backslashreplace")

    def stop(self, number: int = signal.SIGTERM) -> int:
        """Ask it to end; gives its exit code. Raises: Lost: it does not."""
        self.send(number)
        return self.finish(f"signal {number} did not end it")

    def finish(self, what: str = "it did not end") -> int:
        """Wait for its end; gives its exit code. Raises: Lost."""
        try:
            code = self.process.wait(PATIENCE.seconds)
        except subprocess.TimeoutExpired:
            raise Lost(f"{what} within {PATIENCE.seconds:g} s") from None
        self._let_go()
        return code

    def kill(self) -> None:
        """No chance to say goodbye: as if its plug were pulled."""
        self.process.kill()
        self.process.wait()
        self._let_go()

    def _let_go(self) -> None:
        if self._reader is not None:
            self._reader.join()
        assert self.process.stdin is not None
        with suppress(BrokenPipeError):
            self.process.stdin.close()

    def check_clean(self) -> None:
        """No traceback anywhere. Raises: Lost."""
        for text in (*self.lines, self.complaints()):
            if "Traceback" in text or "Exception ignored" in text or "Fatal Python" in text:
                raise Lost(f"a traceback: {text[-400:]}")


class Board(Process):
    """A simulated board on a pty.

    Attributes:
        outputs: what it has printed last of each output: ``lamp nose_green`` -> ``255``.
    """

    def __init__(self, panel: Path, link: Path, *more: str, seed: int = 1) -> None:
        self.outputs: dict[str, str] = {}
        super().__init__("simboard", "--panel", panel, "--link", link, "--seed", str(seed), *more)
        self.ready_s = self.wait_for("port ")

    def take_line(self, text: str) -> None:
        name, _, value = text.rpartition(" ")
        self.outputs[name.removesuffix(" not")] = "0" if value == "driven" else value

    def wait_for_outputs(self, wanted: dict[str, str]) -> float:
        """Wait until outputs stand so; gives when that was seen. Raises: Lost."""
        self.until(
            lambda: all(self.outputs.get(name) == value for name, value in wanted.items()),
            f"outputs {wanted} ({self.outputs})",
        )
        return CLOCK.now()


def runs_headless(panel: Path, link: Path, *more: str, output: int | None = None) -> Process:
    """``run --headless`` on a board's link."""
    return Process("run", panel, "--port", str(link), "--headless", *more, output=output)


@contextmanager
def together(processes: Sequence[Process]) -> Iterator[None]:
    """Ends these processes at last, whatever happens."""
    try:
        yield
    finally:
        for process in processes:
            process.__exit__(None, None, None)


def _opened(number: int) -> int | None:
    return None if number == _CLOSED else number
