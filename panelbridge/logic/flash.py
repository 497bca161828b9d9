"""One flash for all flashing lamps: they go on and off together.

Flashing lamps of one panel share a phase (AC 25.1322-1, from memory: flashing alerts should be
synchronised). It begins lit when the first of them lights, so that none comes late.
"""

from __future__ import annotations

from collections.abc import Hashable

from panelbridge.clock import TimerHeap

_TIMER = ("flash",)


class Flash:
    """The phase.

    Args:
        flash_hz: flashes in a second, half of the time lit.
        timers: for its changes.
    """

    def __init__(self, flash_hz: float, timers: TimerHeap) -> None:
        self._half_s = 0.5 / flash_hz
        self._timers = timers
        self._began_s = 0.0
        self._halves = 0
        self._running = False

    @property
    def on(self) -> bool:
        """Flashing lamps are in the lit half; always while nothing flashes."""
        return self._halves % 2 == 0

    def update(self, now_s: float, *, wanted: bool) -> None:
        """Flash while ``wanted``: a lamp that flashes is lit."""
        if wanted is self._running:
            return
        self._running, self._began_s, self._halves = wanted, now_s, 0
        if wanted:
            self._timers.start(_TIMER, now_s + self._half_s)
        else:
            self._timers.cancel(_TIMER)

    def timer_due(self, now_s: float, name: Hashable) -> bool:
        """Whether the timer ``name`` is of this; if so, go on or off."""
        if name != _TIMER:
            return False
        self._halves += 1
        # Counted from the beginning, so that errors of adding do not gather.
        self._timers.start(_TIMER, self._began_s + (self._halves + 1) * self._half_s)
        return True
