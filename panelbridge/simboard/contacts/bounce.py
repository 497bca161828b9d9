"""Bursts: how a contact opens and closes when its switch moves. Real contacts bounce."""

from __future__ import annotations

import random
from collections.abc import Callable

Change = tuple[float, bool]
"""(time in s, closed)."""
Burst = Callable[[float, bool], list[Change]]
"""Takes the time of a movement, s, and the new state; returns the contact's changes in time order.
The first is at that time, and the last leaves the contact in the new state."""

BOUNCE_MEAN_S = 0.001557
"""Mean length of a burst. Source: J. Ganssle, "A Guide to Debouncing" (16 switches)."""
BOUNCE_MAX_S = 0.0062
"""Longest burst. Source: as above."""
SHORTEST_TOGGLE_S = 0.00005
LONGEST_TOGGLE_S = 0.0002

# The bursts are exponential, cut at the longest: with this mean before the cut, the mean after it
# is BOUNCE_MEAN_S (m * (1 - exp(-max / m)) = mean, solved for m).
_MEAN_BEFORE_CUT_S = 0.0015890


def clean(at_s: float, closed: bool) -> list[Change]:
    """The burst of an ideal contact: one change."""
    return [(at_s, closed)]


class ContactBounce:
    """Bursts of an ordinary contact.

    Args:
        rng: random source; seed it for reproducible runs.
        stretch: factor on the length of the bursts, >= 0; above 1 for a worn-out switch.
    """

    def __init__(self, rng: random.Random, stretch: float = 1.0) -> None:
        self._rng = rng
        self.stretch = stretch

    def changes(self, at_s: float, closed: bool) -> list[Change]:
        """See ``Burst``."""
        burst_s = min(self._rng.expovariate(1.0 / _MEAN_BEFORE_CUT_S), BOUNCE_MAX_S) * self.stretch
        toggle_s = (SHORTEST_TOGGLE_S, LONGEST_TOGGLE_S)
        return _toggles(self._rng, at_s, closed, burst_s, toggle_s)


class Rattle:
    """Bursts of a bad contact, so slow that some changes pass the debouncing.

    Args:
        rng: random source.
        burst_s: length of each burst, s.
        debounce_s: debounce time of the contact, s.
    """

    def __init__(self, rng: random.Random, burst_s: float, debounce_s: float) -> None:
        self._rng = rng
        self._burst_s = burst_s
        self._unit_s = max(debounce_s, 0.001)

    def changes(self, at_s: float, closed: bool) -> list[Change]:
        """See ``Burst``."""
        return _toggles(self._rng, at_s, closed, self._burst_s, (0.25, 1.75), self._unit_s)


def _toggles(
    rng: random.Random,
    at_s: float,
    closed: bool,
    burst_s: float,
    toggle: tuple[float, float],
    unit_s: float = 1.0,
) -> list[Change]:
    """A burst of ``burst_s``; each level lasts a random time in the range ``toggle``, in units."""
    changes, end_s, level = [(at_s, closed)], at_s + burst_s, closed
    while (at_s := at_s + unit_s * rng.uniform(*toggle)) < end_s:
        level = not level
        changes.append((at_s, level))
    if level != closed:
        changes.append((end_s, closed))
    return changes
