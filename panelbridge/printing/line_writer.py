"""Lines that a running panel writes: never in its own thread, and never more than fit.

The panel puts lines into a bounded queue; a thread of this module writes them. A terminal that is
stopped, a pipe that nobody reads and a full disk cost lines, which are counted, and no time.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable

from panelbridge.printing.clean_text import clean_text

Write = Callable[[str], None]
"""Writes some whole lines; may block for ever. Raises: OSError."""

MOST_LINES = 2_000
"""Lines that wait; a screenful is 50."""
_AT_ONCE = 100


class LineWriter:
    """A bounded queue of lines and the thread that writes them.

    Where lines were dropped, one that says how many stands in their place.

    Args:
        write: called in the thread with whole lines.
        on_error: called in the thread with the first error of ``write``.
        most_lines: lines that may wait.
        name: of the thread.
    """

    def __init__(
        self,
        write: Write,
        on_error: Callable[[OSError], object] = lambda _: None,
        *,
        most_lines: int = MOST_LINES,
        name: str = "panelbridge writer",
    ) -> None:
        self._write = write
        self._on_error = on_error
        self._most = most_lines
        self._waiting: deque[str] = deque()
        self._changed = threading.Condition()
        self._closing = False
        self._idle = True
        self._gap = 0
        self.lost = 0
        """Lines that were lost: no room, or they could not be written."""
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def put(self, line: str) -> None:
        """Write a line soon; never blocks. Without room it is dropped and counted."""
        with self._changed:
            if self._closing or len(self._waiting) >= self._most:
                self.lost += 1
                self._gap += 1
                return
            self._mark_gap()
            self._waiting.append(clean_text(line))
            self._changed.notify_all()

    def flushed(self, wait_s: float) -> bool:
        """Wait for at most ``wait_s``; whether all that was put has been written or lost."""
        with self._changed:
            return self._changed.wait_for(lambda: self._idle and not self._waiting, wait_s)

    def close(self, wait_s: float = 1.0) -> int:
        """Write what waits, for at most ``wait_s``; returns how many lines were lost in all."""
        with self._changed:
            self._mark_gap()
            self._closing = True
            self._changed.notify_all()
        self._thread.join(wait_s)
        with self._changed:
            self.lost += len(self._waiting)
            self._waiting.clear()
            return self.lost

    def _mark_gap(self) -> None:
        if self._gap:
            self._waiting.append(f"({self._gap} lines were lost here: the output was too slow)")
            self._gap = 0

    def _run(self) -> None:
        failed = False
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
            except OSError as error:
                with self._changed:
                    self.lost += len(lines)
                if not failed:
                    failed = True
                    self._on_error(error)
