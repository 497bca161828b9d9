"""A part that moves evenly between two ends: where it is follows from when it set off.

Nothing is added up tick by tick: a place is worked out from the last change of speed, so that it
does not depend on how often anybody looks.
"""

from __future__ import annotations


class Travel:
    """Where a part is between 0 and 1.

    Args:
        fraction: where it is at first.
    """

    def __init__(self, fraction: float) -> None:
        self._from_fraction = fraction
        self._from_s = 0.0
        self._way = 0.0
        self._full_s = 1.0

    def at(self, now_s: float) -> float:
        """Where it is."""
        if not self._way:
            return self._from_fraction
        moved = self._way * (now_s - self._from_s) / self._full_s
        return min(max(self._from_fraction + moved, 0.0), 1.0)

    def go(self, now_s: float, end: float, full_s: float) -> float:
        """Set off towards ``end``, 0 or 1, from where it is; gives when it will be there, s.

        Args:
            now_s: seconds.
            end: 0.0 or 1.0.
            full_s: from one end to the other, s; above 0.
        """
        fraction = self.at(now_s)
        self._from_fraction, self._from_s = fraction, now_s
        self._way, self._full_s = (1.0 if end else -1.0), full_s
        return now_s + abs(end - fraction) * full_s

    def stop(self, now_s: float) -> None:
        """Stand still where it is."""
        self._from_fraction = self.at(now_s)
        self._way = 0.0

    def put(self, fraction: float) -> None:
        """Be there and stand still: a lock that has closed says where it is."""
        self._from_fraction = fraction
        self._way = 0.0
