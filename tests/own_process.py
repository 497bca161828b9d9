"""Commands of this program as processes of their own, for tests that take the whole way."""

from __future__ import annotations

import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Sequence
from pathlib import Path

REPOSITORY = Path(__file__).parent.parent
PATIENCE_S = 120.0


class TalkingProcess:
    """A command whose lines can be waited for.

    Args:
        command: with its arguments.
    """

    def __init__(self, command: Sequence[str]) -> None:
        self._process = subprocess.Popen(
            command,
            cwd=REPOSITORY,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            bufsize=1,
        )
        self.lines: list[str] = []
        self._queue: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._queue.put(line.rstrip("\n"))
        self._queue.put(None)

    def wait_for(self, text: str) -> str:
        """The next line that ``_has`` the text."""
        while True:
            line = self._next_line(f"'{text}'")
            if self._has(line, text):
                return line

    def wait_for_all(self, *texts: str) -> None:
        """Wait for lines that come in an order of their own."""
        missing = set(texts)
        while missing:
            line = self._next_line(f"{sorted(missing)}")
            missing -= {text for text in missing if self._has(line, text)}

    def _next_line(self, wanted: str) -> str:
        line = self._queue.get(timeout=PATIENCE_S)
        assert line is not None, f"ended before {wanted}: {self.lines[-20:]}"
        self.lines.append(line)
        return line

    def _has(self, line: str, text: str) -> bool:
        """``text`` is anywhere in it."""
        return text in line

    def order(self, text: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(text + "\n")
        self._process.stdin.flush()

    @property
    def pid(self) -> int:
        return self._process.pid

    @property
    def is_running(self) -> bool:
        return self._process.poll() is None

    def kill(self) -> None:
        """No chance to say goodbye: as if its plug were pulled."""
        self._process.kill()
        self._finish()

    def send(self, number: int) -> None:
        self._process.send_signal(number)

    def stop(self, number: int = signal.SIGTERM) -> int:
        """Ask it to end; gives its exit code."""
        self._process.send_signal(number)
        return self._finish()

    def _finish(self) -> int:
        code = self._process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)
        while (line := self._queue.get()) is not None:
            self.lines.append(line)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
        return code


class Process(TalkingProcess):
    """A command of ours."""

    def __init__(self, *arguments: str) -> None:
        super().__init__([sys.executable, "-m", "panelbridge", *arguments])
