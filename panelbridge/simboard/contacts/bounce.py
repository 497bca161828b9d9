"""Contacts that bounce and voltages that are noisy, from a seeded generator."""

from __future__ import annotations

import random

BOUNCE_MEAN_S = 0.001557
"""Mean length of a burst. Source: J. Ganssle, "A Guide to Debouncing" (16 switches)."""
BOUNCE_MAX_S = 0.0062
"""Longest burst. Source: as above."""
SHORTEST_TOGGLE_S = 0.00005
LONGEST_TOGGLE_S = 0.0002

# The bursts are exponential, cut at the longest: with this mean before the cut, the mean after it
# is BOUNCE_MEAN_S (m * (1 - exp(-max / m)) = mean, solved for m).
_MEAN_BEFORE_CUT_S = 0.0015890


class ContactBounce:
    """Makes the bounces of a contact that changes.

    Args:
        rng: where chance comes from; give it a seed for runs that repeat.
        stretch: factor on the length of the bursts, >= 0; above 1 for a worn-out switch.
    """

    def __init__(self, rng: random.Random, stretch: float = 1.0) -> None:
        self._rng = rng
        self.stretch = stretch

    def changes(self, at_s: float, closed: bool) -> list[tuple[float, bool]]:
        """The raw changes of a contact that turns to ``closed`` at ``at_s``, in time order.

        The first is at ``at_s``; the last leaves it at ``closed`` when the burst ends.
        """
        burst_s = min(self._rng.expovariate(1.0 / _MEAN_BEFORE_CUT_S), BOUNCE_MAX_S) * self.stretch
        changes = [(at_s, closed)]
        end_s = at_s + burst_s
        level = closed
        while True:
            at_s += self._rng.uniform(SHORTEST_TOGGLE_S, LONGEST_TOGGLE_S)
            if at_s >= end_s:
                break
            level = not level
            changes.append((at_s, level))
        if level != closed:
            changes.append((end_s, closed))
        return changes


class AnalogueNoise:
    """Noise on what an analogue pin reads.

    Args:
        rng: where chance comes from.
        counts: largest deviation either way, counts; 0 = a quiet input.
    """

    def __init__(self, rng: random.Random, counts: int = 0) -> None:
        self._rng = rng
        self.counts = counts

    def sample(self) -> int:
        """The deviation of one reading, counts."""
        return self._rng.randint(-self.counts, self.counts) if self.counts else 0
