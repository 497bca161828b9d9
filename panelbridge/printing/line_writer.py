"""Lines that a running panel writes: never in its own thread, and never more than fit.

The panel puts lines into a bounded queue; a thread of this module writes them. A terminal that is
stopped, a pipe that nobody reads and a full disk cost lines, which are counted, and no time.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable

Write = Callable[[str], None]
"""Writes some whole lines; may block for ever. Raises: OSError."""

MOST_LINES = 2_000
"""Lines that wait; a screenful is 50."""
_AT_ONCE = 100


class LineWriter:
    """A bounded queue of lines and the thread that writes them.

    Args:
        write: called in the thread with whole lines.
        on_trouble: called at most once, in any thread, with a sentence: lines are lost from now on.
        most_lines: lines that may wait.
        name: of the thread.
    """

    def __init__(
        self,
        write: Write,
        on_trouble: Callable[[str], None] = lambda _: None,
        *,
        most_lines: int = MOST_LINES,
        name: str = "panelbridge writer",
    ) -> None:
        self._write = write
        self._on_trouble = on_trouble
        self._most = most_lines
        self._waiting: deque[str] = deque()
        self._changed = threading.Condition()
        self._closing = False
        self._is_told = False
        self._idle = True
        self.dropped = 0
        """Lines that were lost: no room, or they could not be written."""
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def put(self, line: str) -> None:
        """Write a line soon; never blocks. Without room it is dropped and counted."""
        with self._changed:
            if not self._closing and len(self._waiting) < self._most:
                self._waiting.append(line)
                self._changed.notify_all()
                return
            self.dropped += 1
        self._trouble("the output takes no more lines: those that come now are lost")

    def close(self, wait_s: float = 1.0) -> int:
        """Write what waits, for at most ``wait_s``; returns how many lines were lost in all."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        self._thread.join(wait_s)
        with self._changed:
            self.dropped += len(self._waiting)
            self._waiting.clear()
            return self.dropped

    def flushed(self, wait_s: float) -> bool:
        """Whether everything was written within ``wait_s``."""
        with self._changed:
            return self._changed.wait_for(lambda: self._idle and not self._waiting, wait_s)

    def _run(self) -> None:
        while True:
            with self._changed:
                self._idle = True
                self._changed.notify_all()
                self._changed.wait_for(lambda: self._waiting or self._closing)
                if not self._waiting:
                    return
                lines = [self._waiting.popleft() for _ in range(min(len(self._waiting), _AT_ONCE))]
                self._idle = False
            try:
                self._write("".join(f"{line}\n" for line in lines))
            except (OSError, ValueError) as error:  # ValueError: a stream that was closed
                with self._changed:
                    self.dropped += len(lines)
                reason = getattr(error, "strerror", None) or error
                self._trouble(f"the output cannot be written: {reason}")

    def _trouble(self, what: str) -> None:
        with self._changed:
            if self._is_told:
                return
            self._is_told = True
        self._on_trouble(what)
