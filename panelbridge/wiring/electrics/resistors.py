"""Series resistors: standard values, colour bands, power.

Sources: IEC 60063 (values), IEC 60062 (colours), both from memory, not read; a resistor at half its
rating is common practice.
"""

from __future__ import annotations

import math

from msgspec import Struct

from panelbridge.config.electrics.keys import ResistorSeries

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
E24 = tuple(sorted((*E12, 11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91)))
SERIES: dict[ResistorSeries, tuple[int, ...]] = {"E12": E12, "E24": E24}
LOAD_FRACTION = 0.5
"""A resistor gets no more than this part of its power rating."""
RATINGS_W = (0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0)
_DIGITS = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"]
_TOLERANCES = {5.0: "gold", 10.0: "silver", 1.0: "brown", 2.0: "red"}
_CLOSE = 1e-9


class SeriesResistor(Struct, frozen=True):
    """A resistor in series with a load.

    Attributes:
        ohm: its value.
        proposed: the program chose it; otherwise the panel file says it.
        power_w: what it turns into heat in the worst case, W.
        rating_w: the power rating that it needs, W; not below that of the panel file.
    """

    ohm: float
    proposed: bool
    power_w: float
    rating_w: float

    @property
    def bands(self) -> tuple[str, ...]:
        """Its colour bands at 5 % tolerance."""
        return colour_bands(self.ohm)


def round_up(ohm: float, series: ResistorSeries = "E12") -> float:
    """The next value of ``series`` that is not below ``ohm``."""
    decade = 10.0 ** (math.floor(math.log10(ohm)) - 1)
    for step in (1.0, 10.0):
        for value in SERIES[series]:
            found = round(value * decade * step, 6)
            if found >= ohm * (1 - _CLOSE):
                return found
    raise AssertionError(ohm)  # the next decade begins above it


def needed_ohm(supply_v: float, drop_v: float, current_ma: float) -> float:
    """The resistance that lets ``current_ma`` through.

    Raises:
        ValueError: the supply is not above what LED and driver need.
    """
    if supply_v <= drop_v:
        raise ValueError(f"{supply_v:g} V is not above the {drop_v:g} V that the load needs")
    return (supply_v - drop_v) / current_ma * 1000.0


def power_w(current_ma: float, ohm: float) -> float:
    """What a resistor turns into heat, W."""
    return (current_ma / 1000.0) ** 2 * ohm


def rating_for(watts: float, usual_w: float) -> float:
    """The smallest rating from ``usual_w`` on of which ``watts`` is at most half, or infinity."""
    fitting = sorted({usual_w, *(rating for rating in RATINGS_W if rating >= usual_w)})
    return next((r for r in fitting if watts <= r * LOAD_FRACTION * (1 + _CLOSE)), math.inf)


def colour_bands(ohm: float, tolerance_percent: float = 5.0) -> tuple[str, ...]:
    """Two digits, or three where the tolerance is 2 % or less, multiplier, tolerance."""
    digits = 3 if tolerance_percent <= 2.0 else 2
    power = math.floor(math.log10(ohm) + _CLOSE) - digits + 1
    number = round(ohm / 10.0**power)
    multiplier = {-1: "gold", -2: "silver"}.get(power) or _DIGITS[power]
    return (*(_DIGITS[int(d)] for d in str(number)), multiplier, _TOLERANCES[tolerance_percent])
