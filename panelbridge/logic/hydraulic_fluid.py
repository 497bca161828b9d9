"""Where the fluid is: accumulator, reservoir, lost; straight lines of time between crossings.

While nothing changes, every flow is constant, so each volume is a straight line of time and the
instant at which it crosses a level is known in advance. At a crossing the volume is put on the
level exactly: limits are compared with the very numbers that were aimed at, rounding plays no part.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

PRIMING_FRACTION = 0.01
"""A pump that drew air delivers again when this much of the fluid is back in the reservoir."""


@dataclass(frozen=True, slots=True)
class Flows:
    """What flows, litres a second.

    Attributes:
        compensated: what supplies can give that hold the nominal volume and give no more.
        constant: what a pump gives without regard to pressure.
        returned: what goes from the pressure line back to the reservoir.
        lost: what leaves the aircraft.
    """

    compensated: float
    constant: float
    returned: float
    lost: float


AT_REST = Flows(compensated=0.0, constant=0.0, returned=0.0, lost=0.0)


class HydraulicFluid:
    """The fluid of one system; their sum never changes.

    Args:
        total_l: all of it, litres.
        nominal_l: accumulator volume that compensated supplies hold, litres.
        relief_l: accumulator volume at which the relief valve opens, litres.
        accumulator_levels: further volumes in the accumulator whose crossings matter, litres.
        reservoir_levels: quantities in the reservoir whose crossings matter, litres.
    """

    def __init__(
        self,
        *,
        total_l: float,
        nominal_l: float,
        relief_l: float,
        accumulator_levels: Iterable[float],
        reservoir_levels: Iterable[float],
    ) -> None:
        self._nominal_l, self._relief_l = nominal_l, relief_l
        self._primed_l = total_l * PRIMING_FRACTION
        self._total_l = total_l
        self._up_levels = sorted({0.0, nominal_l, relief_l, *accumulator_levels})
        self._down_levels = sorted({0.0, self._primed_l, *reservoir_levels})
        self._flows = AT_REST
        self._since_s = 0.0
        self._in_l, self._reservoir_l, self._lost_l = 0.0, total_l, 0.0
        self._in_rate = self._reservoir_rate = self._lost_rate = 0.0
        self.is_empty = False
        """The pumps draw air: the reservoir ran dry and is not filled again."""
        self.crossing_s = inf
        """When the next level is crossed."""

    @property
    def accumulator_l(self) -> float:
        """In the accumulator at the last change or crossing, litres."""
        return self._in_l

    @property
    def reservoir_l(self) -> float:
        """In the reservoir at the last change or crossing, litres."""
        return self._reservoir_l

    def at(self, now_s: float) -> tuple[float, float, float]:
        """In the accumulator, in the reservoir and lost at ``now_s``, litres.

        ``now_s`` must not be beyond ``crossing_s``.
        """
        for_s = now_s - self._since_s
        return (
            min(max(self._in_l + self._in_rate * for_s, 0.0), self._relief_l),
            max(self._reservoir_l + self._reservoir_rate * for_s, 0.0),
            self._lost_l + self._lost_rate * for_s,
        )

    def cross(self) -> None:
        """Go on to ``crossing_s``, exactly on to the level."""
        in_s, in_level = self._next(self._in_l, self._in_rate, self._up_levels)
        down_s, down_level = self._next(self._reservoir_l, self._reservoir_rate, self._down_levels)
        self._go_on(self.crossing_s)
        if in_s <= down_s:
            self._in_l = in_level
        if down_s <= in_s:
            self._reservoir_l = down_level
        self._renew()

    def advance(self, now_s: float) -> None:
        """Go on to ``now_s``, which must not be beyond ``crossing_s``."""
        self._go_on(now_s)
        self._renew()

    def set_flows(self, flows: Flows) -> None:
        """From where it went last these flows."""
        if flows != self._flows:
            self._flows = flows
            self._renew()

    def take(self, now_s: float, volume_l: float) -> float:
        """Take a volume from the accumulator at once; it returns to the reservoir.

        Returns what was really taken.
        """
        self._go_on(now_s)
        taken = min(volume_l, self._in_l)
        self._in_l -= taken
        self._reservoir_l += taken
        self._renew()
        return taken

    def fill(self, now_s: float) -> None:
        """Put the accumulator at the nominal volume at once, unless it holds more."""
        self._go_on(now_s)
        missing_l = min(self._nominal_l - self._in_l, self._reservoir_l)
        if missing_l > 0.0:
            self._in_l = self._in_l + missing_l
            self._reservoir_l -= missing_l
        self._renew()

    def refill(self, now_s: float) -> None:
        """Put back all that was lost."""
        self._go_on(now_s)
        self._reservoir_l, self._lost_l = self._total_l - self._in_l, 0.0
        self._renew()

    def _go_on(self, now_s: float) -> None:
        self._in_l, self._reservoir_l, self._lost_l = self.at(now_s)
        self._since_s = now_s

    def _renew(self) -> None:
        if self._reservoir_l <= 0.0:
            self.is_empty = True
        elif self._reservoir_l >= self._primed_l:
            self.is_empty = False
        flows = self._flows
        returned, lost = flows.returned, flows.lost
        out = returned + lost
        constant = 0.0 if self.is_empty else flows.constant
        given = constant + (0.0 if self.is_empty else flows.compensated)
        if self._in_l > self._nominal_l:
            given = constant
        elif self._in_l == self._nominal_l and given > out:
            # Compensated supplies give what is taken: nothing moves, to the last digit.
            given = max(constant, out)
        if self._in_l <= 0.0 and given < out:
            # Nothing is stored: no more goes out than comes in, each its share.
            lost *= given / out
            out = given
        rate = given - out
        if self._in_l >= self._relief_l and rate > 0.0:
            rate = 0.0
        self._in_rate, self._lost_rate = rate, lost
        self._reservoir_rate = -rate - lost
        self.crossing_s = min(
            self._next(self._in_l, self._in_rate, self._up_levels)[0],
            self._next(self._reservoir_l, self._reservoir_rate, self._down_levels)[0],
        )

    def _next(self, volume_l: float, rate: float, levels: list[float]) -> tuple[float, float]:
        """When the next level is reached, and which."""
        if rate > 0.0:
            place = bisect_right(levels, volume_l)
        elif rate < 0.0:
            place = bisect_left(levels, volume_l) - 1
        else:
            return inf, 0.0
        if not 0 <= place < len(levels):
            return inf, 0.0
        return self._since_s + (levels[place] - volume_l) / rate, levels[place]
