"""Pressures as the brakes see them: never more than there is, in steps while they move."""

from __future__ import annotations

from math import ceil, floor, inf

from panelbridge.logic.brakes.facts import BRAKE_STEPS
from panelbridge.logic.kit.curves import Curve
from panelbridge.logic.kit.readings import Reading, below

STEP_PSI = 10.0
"""Size of the steps while a pressure moves, psi."""
_ROUNDING = 1e-6


def seen_psi(curve: Curve, rate: float, now_s: float) -> tuple[float, float]:
    """A pressure at ``now_s``, psi, and until when it is good, s: it never is above the curve.

    Standing still it is the pressure itself; on its way the step below it.

    Args:
        curve: the pressure as a function of time.
        rate: > 0 while it rises, < 0 while it falls, 0 while it stands.
        now_s: seconds.
    """
    psi = curve.at(now_s)
    if not rate or curve.at(inf) == psi:
        return psi, inf
    steps = psi / STEP_PSI
    step, way = (floor(steps), 1) if rate > 0.0 else (max(ceil(steps) - 1, 0), -1)
    until_s = curve.reaches((step + max(way, 0)) * STEP_PSI, now_s)
    if not now_s < until_s < inf and step + way >= 0:  # never, or it is there but for the rounding
        next_s = curve.reaches((step + way + max(way, 0)) * STEP_PSI, now_s)
        if now_s < next_s < inf:
            return (step + way) * STEP_PSI, next_s
    return step * STEP_PSI, until_s


def fraction_of(psi: float, full_psi: float) -> float:
    """How strongly a pressure brakes, 0 to 1, in steps: any pressure brakes."""
    return min(ceil(psi / full_psi * BRAKE_STEPS - _ROUNDING), BRAKE_STEPS) / BRAKE_STEPS


class StepBelow(Reading[int]):
    """The step that a pressure of the feed is not below."""

    def take(self, number: float | None, before: int | None) -> int | None:
        """The step, or None while the pressure is unknown."""
        return None if number is None else max(floor(number / STEP_PSI), 0)

    def band(self, reading: int | None) -> tuple[float, float]:
        """While low < number <= high the step stays."""
        if reading is None:
            return inf, -inf
        low, high = reading * STEP_PSI, (reading + 1) * STEP_PSI
        return (below(low) if reading else -inf), below(high)
