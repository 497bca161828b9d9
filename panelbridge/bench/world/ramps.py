"""Aircraft values on their way in straight lines, a new value every 20 ms."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from panelbridge.logic.kit.world import Moving

RAMP_STEP_S = 0.02
"""A ramp gives a new value this often, s: as often as the feed is read in a cockpit."""
_ROUNDING = 1e-6
"""A time this near to a step, in steps, is on it."""


@dataclass(frozen=True, slots=True)
class RampLine(Moving):
    """A value that moves in steps of time along a straight line.

    Attributes:
        start_s: when it begins.
        end_s: when it arrives.
        begun: from where.
        target: to where.
    """

    start_s: float
    end_s: float
    begun: float
    target: float

    def at(self, now_s: float) -> float:
        """The value at ``now_s``; at the end exactly the target."""
        if now_s >= self.end_s:
            return self.target
        part = self._steps(now_s) * RAMP_STEP_S / (self.end_s - self.start_s)
        return self.begun + part * (self.target - self.begun)

    def next_s(self, now_s: float) -> float:
        """When it has its next value, s; inf when it has arrived."""
        if now_s >= self.end_s:
            return inf
        return min(self.start_s + (self._steps(now_s) + 1) * RAMP_STEP_S, self.end_s)

    def _steps(self, now_s: float) -> int:
        return int((now_s - self.start_s) / RAMP_STEP_S + _ROUNDING)
