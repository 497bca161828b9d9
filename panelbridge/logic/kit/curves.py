"""Numbers that change by themselves, as functions of time: a straight line, and gas over one.

A curve gives its value at any time and the time at which it reaches a level, so that nothing has to
be looked at in between.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nextafter, pow
from typing import Protocol

from msgspec import Struct


class Curve(Protocol):
    """A number as a function of time; monotone from its beginning on."""

    def at(self, now_s: float) -> float:
        """Its value at ``now_s``."""
        ...

    def reaches(self, level: float, after_s: float) -> float:
        """When it is on ``level``, strictly after ``after_s``, s; inf = never."""
        ...


class Line(Struct, frozen=True):
    """A straight line that stops at its ends.

    Attributes:
        since_s: when it began, s.
        start: its value then.
        rate: change a second.
        low: it never falls below this.
        high: it never rises above this.
    """

    since_s: float = 0.0
    start: float = 0.0
    rate: float = 0.0
    low: float = -inf
    high: float = inf

    def at(self, now_s: float) -> float:
        """Its value at ``now_s``."""
        if not self.rate:
            return self.start
        return min(max(self.start + self.rate * (now_s - self.since_s), self.low), self.high)

    def reaches(self, level: float, after_s: float) -> float:
        """When it is on ``level``, strictly after ``after_s``, s; inf = never."""
        if not self.rate or not self.low <= level <= self.high:
            return inf
        when_s = self.since_s + (level - self.start) / self.rate
        return when_s if when_s > after_s else inf

    def bent(self, now_s: float, rate: float) -> Line:
        """The line that goes on from ``now_s`` at another rate; itself when that is its rate."""
        if rate == self.rate:
            return self
        return Line(now_s, self.at(now_s), rate, self.low, self.high)


ATMOSPHERE_PSI = 14.7
"""What a gauge leaves out, psi: the gas law holds for absolute pressure."""


class Boyle(Struct, frozen=True):
    """Gauge pressure of the gas over a line of fluid: pressure times volume^exponent is constant.

    Slow changes keep their temperature (exponent 1: Boyle); fast ones cool the gas. It is charged
    slowly, and works along one curve through the charged point: *our own decision*, for a pressure
    that follows from the fluid alone. Without fluid there is no pressure in the line: 0, else never
    below the precharge. Sources: AMT Handbook-General, ch. 3 (absolute pressure), NAVEDTRA 14018
    (the needle drops from the precharge to zero).

    Attributes:
        fluid_l: fluid in the accumulator as a function of time, litres.
        gas_l: volume of the gas when no fluid is in it, litres.
        precharge_psi: its pressure then, psi.
        most_psi: it never shows more, psi.
        exponent: 1 = isothermal; 1.4 = too fast for any heat to flow.
        charged_psi: where both curves meet, psi; of no effect with exponent 1.
    """

    fluid_l: Line
    gas_l: float
    precharge_psi: float
    most_psi: float = inf
    exponent: float = 1.0
    charged_psi: float = 0.0

    def of(self, fluid_l: float) -> float:
        """Pressure over so much fluid, psi."""
        if fluid_l <= 0.0:
            return 0.0
        psia, volume_l = self._point
        psi = psia * pow(volume_l / (self.gas_l - fluid_l), self.exponent) - ATMOSPHERE_PSI
        # Rounded, so that the fluid of a limit has the pressure of the limit.
        return min(max(round(psi, 9), self.precharge_psi), self.most_psi)

    def volume_l(self, psi: float) -> float:
        """Fluid at a pressure, litres."""
        if psi <= self.precharge_psi:
            return 0.0
        psia, volume_l = self._point
        gas_l = volume_l * pow(psia / (psi + ATMOSPHERE_PSI), 1.0 / self.exponent)
        return self.gas_l - gas_l

    @property
    def _point(self) -> tuple[float, float]:
        """A point of its curve: absolute pressure, psi, and volume of the gas, litres."""
        psia = self.precharge_psi + ATMOSPHERE_PSI
        if self.exponent == 1.0 or self.charged_psi <= self.precharge_psi:
            return psia, self.gas_l
        charged_psia = self.charged_psi + ATMOSPHERE_PSI
        return charged_psia, self.gas_l * psia / charged_psia

    def at(self, now_s: float) -> float:
        """Pressure at ``now_s``, psi."""
        return self.of(self.fluid_l.at(now_s))

    def reaches(self, level: float, after_s: float) -> float:
        """When it is on ``level`` psi, strictly after ``after_s``, s; inf = never."""
        if not self.fluid_l.rate:
            return inf
        return self.fluid_l.reaches(self.volume_l(level), after_s)


_NEAR_S = 1e-6


def turns(curve: Curve, level: float, after_s: float, truth: Callable[[float], bool]) -> float:
    """When ``truth`` of the curve's value turns at ``level``, s; inf = never.

    At the crossing itself a comparison may still see the old side, by rounding; the time given is
    the first at which it sees the new one (within 1e-6 s of the crossing). A look at the crossing
    itself that still sees the old side does not lose it.

    Args:
        curve: the number.
        level: where the truth turns.
        after_s: seconds; what has turned by then does not count.
        truth: asked of the number.
    """
    when_s = curve.reaches(level, after_s - _NEAR_S)
    if when_s == inf:
        return inf
    before = truth(curve.at(after_s))
    step_s = 0.0 if when_s > after_s else nextafter(after_s, inf) - when_s
    while truth(curve.at(when_s + step_s)) is before:
        step_s = 2.0 * step_s if step_s else nextafter(when_s, inf) - when_s
        if step_s > _NEAR_S:
            return inf  # it has turned before, or touches the level and does not cross it
    return when_s + step_s
