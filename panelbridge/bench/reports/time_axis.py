"""Where an instant of a run stands in a picture, and the times that are written along it."""

from __future__ import annotations

from functools import cached_property
from math import ceil

LEFT, RIGHT = 210.0, 1160.0
"""Where the axis begins and ends in the picture."""
_STEPS_S = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800, 3600)
_MOST_TICKS = 14


class TimeAxis:
    """The axis of one run.

    Args:
        begin_s: at its left end.
        end_s: at its right end.
    """

    def __init__(self, begin_s: float, end_s: float) -> None:
        self._begin_s, self._end_s = begin_s, end_s
        self.length_s = end_s - begin_s

    def x(self, time_s: float) -> float:
        """Where an instant stands."""
        part = (time_s - self._begin_s) / self.length_s if self.length_s > 0.0 else 0.0
        return LEFT + (RIGHT - LEFT) * part

    @cached_property
    def ticks(self) -> list[float]:
        """The times that are written, s."""
        length_s = self.length_s
        step_s = next((s for s in _STEPS_S if length_s / s <= _MOST_TICKS), length_s / 10 or 1)
        first = ceil(self._begin_s / step_s - 1e-6)
        return [number * step_s for number in range(first, int(self._end_s / step_s + 1e-6) + 1)]
