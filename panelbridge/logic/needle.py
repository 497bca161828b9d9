"""The needle of a gauge: it moves in steps, and only once a whole step was made."""

from __future__ import annotations

from math import ceil, floor

_ROUNDING = 1e-6
"""A value this near to a step, in steps, is on it."""


class Needle:
    """Shows the last multiple of its step that the value reached.

    So what it shows does not depend on how often anybody looks, and noise smaller than a step does
    not move it to and fro.

    Args:
        step: size of a step, in the gauge's unit.
    """

    def __init__(self, step: float) -> None:
        self._step = step
        self._place = 0
        self._known = False

    @property
    def value(self) -> float | None:
        """What it shows; None when unknown."""
        return self._place * self._step if self._known else None

    @property
    def stays_between(self) -> tuple[float, float]:
        """While the value is between these two the needle stays where it is."""
        return (
            (self._place - 1 + _ROUNDING) * self._step,
            (self._place + 1 - _ROUNDING) * self._step,
        )

    def take(self, value: float | None) -> bool:
        """Take the value; True when the needle moves."""
        if value is None:
            moved, self._known = self._known, False
            return moved
        steps = value / self._step
        if not self._known:
            self._known, self._place = True, round(steps)
            return True
        if self._place - 1 + _ROUNDING < steps < self._place + 1 - _ROUNDING:
            return False
        rising = steps > self._place
        self._place = floor(steps + _ROUNDING) if rising else ceil(steps - _ROUNDING)
        return True
