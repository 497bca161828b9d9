"""A contact between a pin and ground, and its bursts: real contacts bounce."""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Callable, Iterable
from math import inf
from operator import itemgetter

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


def bouncing(rng: random.Random, at_s: float, closed: bool) -> list[Change]:
    """The burst of an ordinary contact; seed ``rng`` for reproducible runs."""
    burst_s = min(rng.expovariate(1.0 / _MEAN_BEFORE_CUT_S), BOUNCE_MAX_S)
    return _toggles(rng, at_s, closed, burst_s, (SHORTEST_TOGGLE_S, LONGEST_TOGGLE_S))


def rattling(
    rng: random.Random, burst_s: float, debounce_s: float, at_s: float, closed: bool
) -> list[Change]:
    """The burst of a bad contact, so slow that some changes pass debouncing of ``debounce_s``."""
    return _toggles(rng, at_s, closed, burst_s, (0.25, 1.75), max(debounce_s, 0.001))


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


class PlannedContact:
    """A contact between a pin and ground.

    Attributes:
        closed: it connects its pin to ground.
        joined: contacts whose wires touch that of this one: they connect its pin to ground too.
    """

    def __init__(self) -> None:
        self.closed = False
        self.joined: list[PlannedContact] = []
        self._planned: deque[Change] = deque()

    @property
    def grounds_pin(self) -> bool:
        """Whether its pin is connected to ground, by this contact or by a joined one."""
        return self.closed or any(contact.closed for contact in self.joined)

    @property
    def next_change_s(self) -> float:
        """When the next planned change is due; infinity when none is planned."""
        return self._planned[0][0] if self._planned else inf

    def replace_plan(self, changes: Iterable[Change]) -> None:
        """Plan ``changes`` in place of those planned before."""
        self._planned = deque(sorted(changes, key=itemgetter(0)))

    def take_change(self) -> Change:
        """Remove the next planned change and return it; ``closed`` is left to the caller."""
        return self._planned.popleft()
