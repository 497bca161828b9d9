"""What was refused, by reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

MOST_REASONS = 200
"""Reasons beyond these are counted together."""
_OTHERS = "other reasons"


class Counts:
    """Counts by reason, and the last thing that was refused."""

    def __init__(self) -> None:
        self._counts: dict[str, int] = {}
        self.last = ""

    def add(self, reason: str, detail: str = "") -> None:
        """Count one."""
        if reason not in self._counts and len(self._counts) >= MOST_REASONS:
            reason = _OTHERS
        self._counts[reason] = self._counts.get(reason, 0) + 1
        self.last = f"{reason}: {detail}" if detail else reason

    def with_others(self, others: Iterable[Mapping[str, int]]) -> dict[str, int]:
        """These and others, the most frequent first."""
        found = dict(self._counts)
        for counts in others:
            for reason, count in counts.items():
                found[reason] = found.get(reason, 0) + count
        return dict(sorted(found.items(), key=lambda item: -item[1]))
