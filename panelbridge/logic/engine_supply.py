"""Which engines supply hydraulic pressure: running, spooled up, and not failed."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from panelbridge.clock import TimerHeap
from panelbridge.logic.hydraulic_parameters import EngineSupplyParameters


class EngineSupply:
    """The supply of one engine.

    An engine that is found running has run before: its supply gives at once. An engine that is
    unknown gives nothing; known again, it spools up anew.

    Args:
        parameters: its numbers.
        timers: for spooling up.
    """

    def __init__(self, parameters: EngineSupplyParameters, timers: TimerHeap) -> None:
        self.parameters = parameters
        self._timers = timers
        self._timer = ("hydraulics", "spool_up", parameters.engine)
        self._seen = False
        self._running = False
        self._spooled = False
        self.is_failed = False
        """It is broken."""

    @property
    def is_driven(self) -> bool:
        """Its engine turns it at speed, broken or not."""
        return self._spooled

    @property
    def gives(self) -> bool:
        """It can give flow, as long as there is fluid."""
        return self._spooled and not self.is_failed

    def update(self, now_s: float, engine_running: Sequence[bool | None]) -> None:
        """Look at its engine; one that is not listed is unknown."""
        number = self.parameters.engine
        running = engine_running[number - 1] if number <= len(engine_running) else None
        found = running is not None and not self._seen
        self._seen = self._seen or running is not None
        if (running is True) == self._running:
            return
        self._running = running is True
        self._timers.cancel(self._timer)
        delay_s = 0.0 if found else self.parameters.delay_s
        self._spooled = self._running and delay_s == 0.0
        if self._running and not self._spooled:
            self._timers.start(self._timer, now_s + delay_s)

    def timer_due(self, name: Hashable) -> None:
        """It has spooled up."""
        if name == self._timer:
            self._spooled = True
