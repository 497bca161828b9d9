"""From what the rules ask of the horn to what it does: a shortest time of sounding.

MIL-STD-1472E 5.3.4 asks that a signal lasts half a second at least; 14 CFR 25.1322(a) that an alert
is removed when its condition no longer exists. The regulation outweighs the standard, so a horn
stops with its condition unless the aircraft file asks for a shortest time. Where it does, the
horn rings on until then after a condition that has ended by itself; nothing is latched, and the
lamps go out at once. A press of the silence button and the gear locked down end it always: a horn
never outlasts its silencing, nor sounds for a gear that is down.
"""

from __future__ import annotations

from panelbridge.clock import TimerHeap
from panelbridge.signals import HornPattern

SHORTEST = ("horn", "shortest")
"""Name of its timer."""


class HornSounding:
    """The horn with its shortest time.

    Args:
        shortest_s: time that it sounds at least, s; 0 = none.
        timers: for that time.
    """

    def __init__(self, shortest_s: float, timers: TimerHeap) -> None:
        self._shortest_s = shortest_s
        self._timers = timers
        self._wanted = HornPattern.SILENT
        self._until_s = 0.0
        self.pattern = HornPattern.SILENT
        """How it sounds."""
        self.rings_on = False
        """It sounds only because its shortest time is not over."""

    @property
    def shortest_s(self) -> float:
        """Time that it sounds at least, s."""
        return self._shortest_s

    def update(self, now_s: float, wanted: HornPattern, *, cut: bool) -> bool:
        """Take what the rules ask for; True when the horn has stopped.

        Args:
            now_s: seconds.
            wanted: how the rules have it sound.
            cut: it must not ring on, neither now nor when what is asked for now has ended.
        """
        before, silent = self.pattern, HornPattern.SILENT
        if wanted is not silent and self._wanted is silent:
            self._until_s = now_s + self._shortest_s
        if cut:  # also while it sounds by a rule that no press silences: it stops with that rule
            self._until_s = min(self._until_s, now_s)
        self._wanted = wanted
        if wanted is not silent:
            self.pattern, self.rings_on = wanted, False
            self._timers.cancel(SHORTEST)
            return False
        if before is not silent and now_s < self._until_s:
            self.rings_on = True
            self._timers.start(SHORTEST, self._until_s)
            return False
        self._timers.cancel(SHORTEST)
        self.pattern, self.rings_on = silent, False
        return before is not silent
