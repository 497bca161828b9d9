"""What was refused, by reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

MOST_REASONS = 200
"""Reasons beyond these are counted together."""
_OTHERS = "other reasons"


class Counts:
    """Counts by reason, and the last thing that was refused."""

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()
        self.last = ""

    def add(self, reason: str, detail: str = "") -> None:
        """Count one."""
        if reason not in self._counts and len(self._counts) >= MOST_REASONS:
            reason = _OTHERS
        self._counts[reason] += 1
        self.last = f"{reason}: {detail}" if detail else reason

    def with_others(self, others: Iterable[Mapping[str, int]]) -> dict[str, int]:
        """These and others, the most frequent first."""
        found = self._counts.copy()
        for counts in others:
            found.update(counts)
        return dict(found.most_common())
