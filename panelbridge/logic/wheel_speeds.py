"""Which wheels turn fast, and which one stands still while the others roll."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isnan


class WheelSpeeds:
    """The speeds of all braked wheels.

    Args:
        count: how many wheels.
        spun_up_rpm: beyond this a wheel is spun up, revolutions a minute.
        spun_down_rpm: at or below this it no longer is.
        locked_ratio: a wheel slower than this part of the fastest other one is locked.
        rolling_ratio: from this part on it rolls again.
    """

    def __init__(
        self,
        count: int,
        *,
        spun_up_rpm: float,
        spun_down_rpm: float,
        locked_ratio: float,
        rolling_ratio: float,
    ) -> None:
        self._spun_up_rpm, self._spun_down_rpm = spun_up_rpm, spun_down_rpm
        self._locked_ratio, self._rolling_ratio = locked_ratio, rolling_ratio
        self._count = count
        self._rpm: Sequence[float | None] = (None,) * count
        # Beyond these limits a wheel's state changes. Unknown is within none.
        self._lows = [inf] * count
        self._highs = [-inf] * count
        self.spun_up = [False] * count
        """Whether each wheel is known to turn fast."""

    def take(self, rpm: Sequence[float | None]) -> bool:
        """Take the speeds, revolutions a minute; True when a wheel has spun up or down."""
        if len(rpm) != self._count:
            rpm = (*rpm[: self._count], *(None,) * (self._count - len(rpm)))
        self._rpm = rpm
        changed, lows, highs = False, self._lows, self._highs
        for number, speed in enumerate(rpm):
            if speed is None or not lows[number] < speed <= highs[number]:
                changed = self._cross(number, speed) or changed
        return changed

    @property
    def alike(self) -> bool:
        """All are known, and none is so slow against the others that it could be locked."""
        rpm = self._rpm
        if None in rpm:
            return False
        known: Sequence[float] = rpm  # type: ignore[assignment]
        return min(known) >= self._locked_ratio * max(known)

    def _cross(self, number: int, speed: float | None) -> bool:
        before = self.spun_up[number]
        if speed is None or isnan(speed):
            spun, low, high = False, inf, -inf
        else:
            # Within its band nothing comes here: what was spun up has gone below the lower limit.
            spun = speed > self._spun_up_rpm
            low, high = (self._spun_down_rpm, inf) if spun else (-inf, self._spun_up_rpm)
        self.spun_up[number] = spun
        self._lows[number], self._highs[number] = low, high
        return spun is not before

    def locked(self, may: Sequence[bool], before: Sequence[bool]) -> tuple[bool, ...]:
        """Which wheels are locked: far slower than the fastest other one, which is spun up.

        Args:
            may: the wheels that are braked and watched; no other one is called locked.
            before: what this gave last.
        """
        speeds = self._rpm
        locked = []
        for number, watched in enumerate(may):
            speed = speeds[number]
            if not watched or speed is None:
                locked.append(False)
                continue
            others = [
                other
                for place, other in enumerate(speeds)
                if place != number and other is not None and self.spun_up[place]
            ]
            ratio = self._rolling_ratio if before[number] else self._locked_ratio
            locked.append(bool(others) and speed < ratio * max(others))
        return tuple(locked)
