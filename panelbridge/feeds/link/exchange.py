"""Request and answer: a message goes out, its answer is read and checked, one after the other."""

from __future__ import annotations

from enum import Enum

from panelbridge.config.links.targets import LinkAnswer

MOST_BYTES = 65_536
"""An answer that is longer is none."""


class AnswerState(Enum):
    """How an exchange stands."""

    FREE = "free"
    """Nothing is open."""
    OPEN = "open"
    """An answer is waited for."""
    OBEYED = "obeyed"
    REFUSED = "refused"
    """An answer came, and it is not the right one."""
    SILENT = "silent"
    """No answer came in time."""


class Exchange:
    """The exchange of one connection.

    Args:
        keys: what the answers look like.
    """

    def __init__(self, keys: LinkAnswer) -> None:
        self._keys = keys
        self._holds, self._end = keys.holds.encode(), keys.ends_with.encode()
        self.restart()

    def restart(self) -> None:
        """The connection is new."""
        self._buffer = b""
        self._greeted = not self._keys.greets
        self._due_s: float | None = None
        self.answer = ""

    @property
    def may_ask(self) -> bool:
        """The greeting is over, and no answer is waited for."""
        return self._greeted and self._due_s is None

    def begin(self, now_s: float) -> None:
        """A message went out."""
        self._buffer, self._due_s = b"", now_s + self._keys.within_s

    def take(self, data: bytes) -> None:
        """Bytes have come."""
        self._buffer = (self._buffer + data)[-MOST_BYTES:]
        if not self._greeted and self._end in self._buffer:
            self._greeted, self._buffer = True, b""

    def poll(self, now_s: float) -> AnswerState:
        """How it stands; every end is reported once."""
        if self._due_s is None:
            return AnswerState.FREE
        answer, end, _ = self._buffer.partition(self._end)
        if self._holds in self._buffer:
            self._close(answer)
            return AnswerState.OBEYED
        if end and answer.strip():
            self._close(answer)
            return AnswerState.REFUSED
        if end:  # an empty line is no answer
            self._buffer = self._buffer[len(answer) + len(end) :]
        if now_s >= self._due_s:
            self._close(b"")
            return AnswerState.SILENT
        return AnswerState.OPEN

    def _close(self, answer: bytes) -> None:
        self.answer = answer.decode("utf-8", "replace").strip()
        self._due_s, self._buffer = None, b""
