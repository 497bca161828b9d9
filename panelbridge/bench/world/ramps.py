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
        self.end_s = start_s + over_s
        """When they arrive."""
        self._ticks = 1
        self.lines = dict(lines)
        self.next_due_s = min(start_s + RAMP_STEP_S, self.end_s)
        """When the next values are due; inf when all have arrived."""

    def values(self, now_s: float) -> dict[str, float]:
        """The values at ``now_s``; at the end exactly the targets."""
        lines = self.lines
        if now_s >= self.end_s:
            self.next_due_s = inf
            return {name: target for name, (_, target) in lines.items()}
        part = (now_s - self._start_s) / self._over_s
        self._ticks = ticks = self._ticks + 1
        due_s = self._start_s + ticks * RAMP_STEP_S
        self.next_due_s = due_s if due_s < self.end_s else self.end_s
        return {name: begun + part * (target - begun) for name, (begun, target) in lines.items()}


class Ramps:
    """All ramps that are on. A value follows one ramp at most: the last one it was given."""

    def __init__(self) -> None:
        self._ramps: list[Ramp] = []
        self.next_due_s = inf
        """When the next values are due."""
        self._first_end_s = inf

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
        """The new values that are due; some are."""
        if len(self._ramps) == 1:
            (ramp,) = self._ramps
            values = ramp.values(now_s)
            self.next_due_s = ramp.next_due_s
        else:
            values = {}
            for ramp in self._ramps:
                if ramp.next_due_s <= now_s:
                    values.update(ramp.values(now_s))
            self.next_due_s = min(ramp.next_due_s for ramp in self._ramps)
        if now_s >= self._first_end_s:
            self._settle()
        return values

    def _settle(self) -> None:
        self._ramps = [ramp for ramp in self._ramps if ramp.lines and ramp.next_due_s < inf]
        self.next_due_s = min([ramp.next_due_s for ramp in self._ramps], default=inf)
        self._first_end_s = min([ramp.end_s for ramp in self._ramps], default=inf)
