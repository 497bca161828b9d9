"""Counts of messages that were dropped."""

from __future__ import annotations

TOO_MANY = "too many at once"
SYSTEM_BUFFER = "the system's buffer was full"
NOBODY = "nobody there to take it"
OTHER_SENDER = "from another sender"
OVERLONG_MESSAGE = "overlong message"


class Drops(dict[str, int]):
    """Counts by reason."""

    def add(self, reason: str, count: int = 1) -> None:
        """Count some."""
        self[reason] = self.get(reason, 0) + count
