"""Aircraft values on their way in straight lines, a new value every 20 ms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

RAMP_STEP_S = 0.02
"""A ramp gives a new value this often, s: as often as the feed is read in a cockpit."""


class Ramp:
    """Several values that began to move together.

    Args:
        start_s: when they begin.
        over_s: how long it takes, s.
        lines: from where to where each goes, by name.
    """

    def __init__(
        self, start_s: float, over_s: float, lines: Mapping[str, tuple[float, float]]
    ) -> None:
        self._start_s = start_s
        self._over_s = over_s
        self._end_s = start_s + over_s
        self._ticks = 0
        self.lines = dict(lines)
        self.next_due_s = self._tick()
        """When the next values are due; inf when all have arrived."""

    def values(self, now_s: float) -> dict[str, float]:
        """The values at ``now_s``; at the end exactly the targets."""
        lines = self.lines
        if now_s >= self._end_s:
            self.next_due_s = inf
            return {name: target for name, (_, target) in lines.items()}
        part = (now_s - self._start_s) / self._over_s
        self.next_due_s = self._tick()
        return {name: begun + part * (target - begun) for name, (begun, target) in lines.items()}

    def _tick(self) -> float:
        self._ticks += 1
        return min(self._start_s + self._ticks * RAMP_STEP_S, self._end_s)


class Ramps:
    """All ramps that are on. A value follows one ramp at most: the last one it was given."""

    def __init__(self) -> None:
        self._ramps: list[Ramp] = []
        self.next_due_s = inf
        """When the next values are due."""

    def begin(self, ramp: Ramp) -> None:
        """Begin a ramp; its values leave the ramps that they are on."""
        self.end(ramp.lines)
        self._ramps.append(ramp)
        self._settle()

    def end(self, names: Iterable[str]) -> None:
        """End the ramps of these values, where they are."""
        for name in names:
            for ramp in self._ramps:
                ramp.lines.pop(name, None)
        self._settle()

    def take(self, now_s: float) -> dict[str, float]:
        """The new values that are due."""
        values: dict[str, float] = {}
        for ramp in self._ramps:
            if ramp.next_due_s <= now_s:
                values.update(ramp.values(now_s))
        self._settle()
        return values

    def _settle(self) -> None:
        self._ramps = [ramp for ramp in self._ramps if ramp.lines and ramp.next_due_s < inf]
        self.next_due_s = min([ramp.next_due_s for ramp in self._ramps], default=inf)
