"""What the readings of a lever give: range, noise, direction, a bad track."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from statistics import fmean

from msgspec import Struct, field

from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_wires import Place

LEAST_SPAN = 0.05
"""A lever that moves less than this share of the full scale does not move."""
BAD_NOISE = 0.03
"""Noise above this share of the full scale is a bad track or a loose wire."""
BAD_STEP_BACK = 0.05
"""A sweep that runs back by more than this share of its travel is a bad track."""
MOST_GATE = 1000
"""The largest noise gate that a panel file can have, counts."""


class Readings(Struct):
    """The readings of one analogue pin, while it stands at an end or on its way to the next.

    Attributes:
        ends: of each visit of an end: the low one, the high one, and both again.
        sweeps: of each movement between them.
    """

    ends: list[list[int]] = field(default_factory=list)
    sweeps: list[list[int]] = field(default_factory=list)

    @property
    def noise(self) -> int:
        """Largest difference between two readings at one end, counts."""
        return max(max(visit) - min(visit) for visit in self.ends)

    @property
    def low(self) -> float:
        """Mean at the low end."""
        return fmean([*self.ends[0], *self.ends[2]])

    @property
    def high(self) -> float:
        """Mean at the high end."""
        return fmean([*self.ends[1], *self.ends[3]])

    @property
    def span(self) -> float:
        """From the low end to the high one; below zero when readings fall."""
        return self.high - self.low

    @property
    def reached(self) -> tuple[int, int]:
        """Counts that both visits of the low end, and of the high end, reached for certain."""
        lows, highs = [*self.ends[0], *self.ends[2]], [*self.ends[1], *self.ends[3]]
        if self.span >= 0:
            return max(lows), min(highs)
        return min(lows), max(highs)

    @property
    def returns_within(self) -> float:
        """Largest difference between two visits of one end, counts."""
        visits = [fmean(visit) for visit in self.ends]
        return max(abs(visits[0] - visits[2]), abs(visits[1] - visits[3]))

    @property
    def step_back(self) -> int:
        """How far a sweep ran back at most, counts."""
        worst = 0
        for at, sweep in enumerate(self.sweeps):
            rising = (self.span >= 0) == (at % 2 == 0)
            peak = sweep[0] if sweep else 0
            for counts in sweep:
                peak = max(peak, counts) if rising else min(peak, counts)
                worst = max(worst, abs(peak - counts))
        return worst


def mover(readings: Mapping[Place, Readings], full_counts: Mapping[str, int]) -> Place | None:
    """The pin that moved most, as a share of its full scale; None when none moved."""
    shares = {
        place: abs(found.span) / full_counts[place.board] for place, found in readings.items()
    }
    best = max(shares, key=lambda place: shares[place], default=None)
    return best if best is not None and shares[best] >= LEAST_SPAN else None


class LeverAdvice(Struct, frozen=True):
    """What should be written for a lever, each None when the file is good.

    Attributes:
        counts: at 0 and at 1.
        gate: noise gate.
        is_reversed: it runs the other way than the file says.
    """

    counts: tuple[int, int] | None
    gate: int | None
    is_reversed: bool


def advise_lever(filed: LeverSwitch, found: Readings) -> LeverAdvice:
    """Compare what was read with the file.

    The ends of the file stand while they are within noise and 1.5 % of the travel: a file is not
    changed for what a hand does. The noise gate is half as large again as the noise.
    """
    is_reversed = (found.span < 0) != (filed.counts_at_1 < filed.counts_at_0)
    play = max(filed.noise_gate_counts, found.noise, round(0.015 * abs(found.span)))
    reached = found.reached
    off = max(abs(reached[0] - filed.counts_at_0), abs(reached[1] - filed.counts_at_1))
    gate = min(ceil(found.noise * 1.5) + 1, MOST_GATE)
    return LeverAdvice(
        counts=reached if is_reversed or off > play else None,
        gate=gate if found.noise > filed.noise_gate_counts else None,
        is_reversed=is_reversed,
    )
