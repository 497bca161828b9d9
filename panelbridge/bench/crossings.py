"""When a leg on its way comes past a place that somebody asks about.

Travel is linear in time between two samples, so the instant is worked out, not looked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import inf

from panelbridge.bench.condition_check import leaves
from panelbridge.bench.plan import Condition
from panelbridge.bench.trace import Sample
from panelbridge.logic.legs import LegParameters
from panelbridge.signals import LegState

PAST_S = 1e-6
"""A limit is looked at where it is reached, and again so long after it: *above* is not *at*, s."""
_NEARLY_S = 1e-9


class Crossings:
    """Tells when the travel of legs comes to where a condition may turn round.

    Args:
        legs: the model's legs; none when the feed tells where legs are.
    """

    def __init__(self, legs: Sequence[LegParameters]) -> None:
        self._legs: Mapping[str, tuple[int, LegParameters]] = {
            f"{leg.name}_travel": (place, leg) for place, leg in enumerate(legs)
        }

    def limits_in(self, condition: Condition | None) -> frozenset[tuple[str, float]]:
        """Every place on the way of a leg that the condition asks about, with its signal."""
        if condition is None:
            return frozenset()
        return frozenset(
            (leaf.signal, float(leaf.value))
            for leaf in leaves(condition)
            if leaf.signal in self._legs and isinstance(leaf.value, (int, float))
        )

    def next_s(self, limits: Iterable[tuple[str, float]], sample: Sample, now_s: float) -> float:
        """When the next of ``limits`` is reached or has just been passed; inf = none is.

        Args:
            limits: from ``limits_in``.
            sample: the last one; legs have moved on in their straight lines since.
            now_s: only what comes after this counts.
        """
        times = (time_s for limit in limits for time_s in self._times(*limit, sample))
        return min((time_s for time_s in times if time_s > now_s + _NEARLY_S), default=inf)

    def _times(self, signal: str, limit: float, sample: Sample) -> Iterator[float]:
        place, leg = self._legs[signal]
        view = sample.view.legs[place]
        if view.travel_fraction is None:
            return
        left = limit - view.travel_fraction
        if view.state is LegState.EXTENDING:
            at_s = sample.time_s + left * leg.extend_s
        elif view.state is LegState.RETRACTING:
            at_s = sample.time_s - left * leg.retract_s
        else:
            return
        yield at_s
        yield at_s + PAST_S
