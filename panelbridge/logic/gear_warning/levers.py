"""Which throttle levers are closed beyond a setting: settling first, then hysteresis.

A lever must stay on its new side for a time, so that noise or a bouncing switch never counts as
closing it again. Its hysteresis follows from the side that has settled: an excursion that is too
short leaves no trace, wherever between the two limits it ends. An unknown lever keeps what was
known of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import inf

from panelbridge.logic.kit.aircraft_cells import AircraftCell, throttle
from panelbridge.logic.kit.edges import Settling
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import against
from panelbridge.logic.kit.world import World
from panelbridge.signals import Reason

Levers = tuple[Settling, ...]
"""For each lever whether it is closed."""


class ThrottleLevers:
    """The levers of all engines against one setting; holds no state.

    Args:
        engines: number of levers.
        limit_fraction: at or below this a lever is closed, 0 to 1.
        hysteresis_fraction: it is open again above the limit plus this.
        settle_s: it must stay on its side for this time, s.
        of: the cell of what is looked at, for the place of an engine.
    """

    def __init__(
        self,
        engines: int,
        limit_fraction: float,
        hysteresis_fraction: float,
        settle_s: float,
        of: Callable[[int], AircraftCell[float]] = throttle,
    ) -> None:
        self._limit = limit_fraction
        self._reopen = limit_fraction + hysteresis_fraction
        self._settle_s, self._of = settle_s, of
        self._above_limit = [Threshold(of(n), self._limit) for n in range(engines)]
        self._above_reopen = [Threshold(of(n), self._reopen) for n in range(engines)]
        self.readings = (*self._above_limit, *self._above_reopen)
        self.unknown: Levers = (Settling(),) * engines

    def take(self, now_s: float, levers: Levers, world: World) -> Levers:
        """The levers now; those that settle at one instant settle together."""
        return tuple([self._take(now_s, n, lever, world) for n, lever in enumerate(levers)])

    def _take(self, now_s: float, number: int, lever: Settling, world: World) -> Settling:
        above = world[(self._above_reopen if lever.stable else self._above_limit)[number]]
        if above is None:
            # What was about to settle does not; what was known stays.
            return lever if lever.due_s == inf else Settling(lever.stable, lever.stable)
        return lever.take(now_s, not above, self._settle_s)

    def words(self, levers: Levers, world: World) -> Iterator[Reason]:
        """Whether each lever is closed, with its value and limit."""
        for number, lever in enumerate(levers):
            detail = self._detail(lever, world[self._of(number)])
            yield Reason(f"lever {number + 1} closed", lever.stable is True, detail)

    def _detail(self, lever: Settling, fraction: float | None) -> str:
        if fraction is None:
            return "unknown: kept" if lever.raw is not None else "unknown"
        # Between the two limits the side that has settled decides.
        kept = fraction > self._limit and lever.stable
        detail = against(fraction, self._reopen if kept else self._limit)
        return detail if lever.due_s == inf else f"{detail}, not yet for {self._settle_s:g} s"


def any_closed(levers: Levers) -> bool:
    """A lever is closed, settled."""
    return any(lever.stable is True for lever in levers)


def all_open(levers: Levers) -> bool:
    """Every lever is known to be open, settled."""
    return all(lever.stable is False for lever in levers)


def closed_now(before: Levers, now: Levers) -> bool:
    """A lever has closed, settled; the other way round: one that was closed has opened."""
    pairs = zip(before, now, strict=True)
    return any(new.stable is True and old.stable is not True for old, new in pairs)
