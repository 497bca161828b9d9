"""A program in perl whose lines can be waited for."""

from __future__ import annotations

import queue
import subprocess
import threading
from pathlib import Path
from typing import Self

FOLDER = Path(__file__).parent / "from_the_document"
PATIENCE_S = 60.0


class Perl:
    """One of the programs in ``from_the_document``."""

    def __init__(self, name: str, *arguments: str) -> None:
        self._process = subprocess.Popen(
            ["perl", str(FOLDER / name), *arguments],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            bufsize=1,
        )
        self.port = ""
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
        """The next line that begins with ``text``."""
        while True:
            line = self._queue.get(timeout=PATIENCE_S)
            assert line is not None, f"ended before '{text}': {self.lines[-20:]}"
            self.lines.append(line)
            if line.startswith(text):
                return line

    def order(self, text: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(text + "\n")
        self._process.stdin.flush()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self._process.kill()
        self._process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
