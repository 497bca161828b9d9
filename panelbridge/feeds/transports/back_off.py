"""Waiting times between attempts to connect."""

from __future__ import annotations


class BackOff:
    """Attempts come less and less often, until one succeeds.

    Args:
        first_s: first wait, s.
        longest_s: longest wait, s.
    """

    def __init__(self, first_s: float = 0.5, longest_s: float = 8.0) -> None:
        self._first_s = self._wait_s = first_s
        self._longest_s = longest_s
        self.due_s = 0.0

    def failed(self, now_s: float) -> None:
        """Wait, twice as long as the last time."""
        self.due_s = now_s + self._wait_s
        self._wait_s = min(2.0 * self._wait_s, self._longest_s)

    def succeeded(self) -> None:
        """Begin with the shortest wait the next time."""
        self._wait_s = self._first_s
