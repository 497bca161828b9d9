"""From the time of the run to the time of the logic, and back: a straight line.

It bends where the simulation is paused or changes its rate, and jumps where the computer stood
still. Until the first of these both times are the same number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import inf
from typing import Any

from msgspec import Struct

from panelbridge.logic.simulation.facts import rate_of
from panelbridge.signals import AircraftState, SwitchState

ROUNDING_S = 1e-6
"""A time of the logic may come back this much earlier, by rounding, s."""


class SimulationClock(Struct, frozen=True):
    """The line from a point on.

    Attributes:
        run_s: where it began, time of the run, s.
        logic_s: where it began, time of the logic, s.
        rate: slope; 0 = paused.
    """

    run_s: float = 0.0
    logic_s: float = 0.0
    rate: float = 1.0

    def at(self, run_s: float) -> float:
        """The time of the logic."""
        return self.logic_s + self.rate * (run_s - self.run_s)

    def when(self, logic_s: float) -> float:
        """The time of the run at which the logic's is ``logic_s``; inf = never."""
        if logic_s == inf or not self.rate:
            return inf
        return self.run_s + (logic_s - self.logic_s) / self.rate

    def run_time_of(self, logic_s: float) -> float:
        """The time of the run of something that has happened; while paused that of the pause."""
        return self.when(logic_s) if self.rate else self.run_s

    def reach(self, run_s: float, before_s: float, due_s: float) -> float:
        """The time of the logic now, never earlier than before, and at ``due_s`` exactly.

        Args:
            run_s: the time of the run.
            before_s: the time of the logic until now.
            due_s: when the logic wants a step, time of the logic.
        """
        now_s = self.at(run_s)
        if before_s - ROUNDING_S <= now_s < before_s:
            return before_s
        return max(now_s, due_s) if run_s >= self.when(due_s) else now_s


REAL_TIME = SimulationClock()
"""Both times are the same number."""


class LogicTime:
    """How the time of the logic follows from that of the run.

    Args:
        unknown_of: names of the switches that are unknown.
        longest_step_s: a longer step is a gap in which nobody looked: so much of it passes, s.
    """

    def __init__(
        self, unknown_of: Callable[[SwitchState], Iterable[str]], longest_step_s: float = inf
    ) -> None:
        self._unknown_of = unknown_of
        self.longest_step_s = longest_step_s
        self.is_bent = False
        """The times may differ."""
        self.clock = REAL_TIME
        self.skipped_s = 0.0
        self._run_s = -inf
        self._unknown: frozenset[str] = frozenset()

    @property
    def plain_step_s(self) -> float:
        """A step up to this is the same in both times, s; -inf = none is."""
        return -inf if self.is_bent else self.longest_step_s

    def stands_still(self, switches: SwitchState, aircraft: AircraftState) -> bool:
        """Whether it was and is paused; a switch that is unknown meanwhile is remembered."""
        if self.clock.rate or rate_of(aircraft.paused, aircraft.simulation_rate):
            return False
        self._unknown |= frozenset(self._unknown_of(switches))
        return True

    def was_unknown(self) -> dict[str, None]:
        """Switches that were unknown during the pause that has ended, each as unknown."""
        unknown, self._unknown = dict.fromkeys(sorted(self._unknown)), frozenset()
        return unknown

    def reach(self, run_s: float, before_s: float, due_s: float) -> float:
        """The time of the logic at ``run_s``; see ``SimulationClock.reach``."""
        self._run_s = run_s
        now_s = self.clock.reach(run_s, before_s, due_s) if self.is_bent else run_s
        if -inf < before_s < now_s - self.longest_step_s:
            self.skipped_s += now_s - before_s - self.longest_step_s
            now_s = before_s + self.longest_step_s
            self._bend(run_s, now_s, self.clock.rate)
        return now_s

    def follow(self, now_s: float, rate: float) -> None:
        """Go on from ``now_s``, time of the logic, at a rate."""
        if rate != self.clock.rate:
            self._bend(self._run_s if self.is_bent else now_s, now_s, rate)

    def _bend(self, run_s: float, logic_s: float, rate: float) -> None:
        self.is_bent, self._run_s = True, run_s
        self.clock = SimulationClock(run_s, logic_s, rate)

    def save(self) -> tuple[Any, ...]:
        """All state as plain data."""
        clock = self.clock
        held = tuple(sorted(self._unknown))
        bend = (self.is_bent, clock.run_s, clock.logic_s, clock.rate)
        return (*bend, self.skipped_s, self._run_s, held)

    def restore(self, saved: tuple[Any, ...]) -> None:
        """Put back what ``save`` gave."""
        self.is_bent, *bend, self.skipped_s, self._run_s, held = saved
        self.clock, self._unknown = SimulationClock(*bend), frozenset(held)
