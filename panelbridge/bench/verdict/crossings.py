"""When a leg on its way comes past a place that somebody asks about.

Between two changes of the logic a leg moves evenly, however fast; so its speed is taken from two
looks, and the instant is worked out, not looked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import inf

from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.conditions import Condition, leaves

PROBE_S = 1e-5
"""After a change the second look comes so much later, s."""
PAST_S = 1e-6
"""A limit is looked at where it is reached, and again so long after it: *above* is not *at*, s."""
_NEARLY_S = 1e-9


class Crossings:
    """Tells when the travel of legs comes to where a condition may turn round.

    Args:
        legs: names of the model's legs; none when the feed tells where legs are.
    """

    def __init__(self, legs: Sequence[str]) -> None:
        self._places = {f"{leg}_travel": place for place, leg in enumerate(legs)}
        self._stretch = -1
        self._seen_s = 0.0
        self._seen: tuple[float | None, ...] = ()
        self._speeds: tuple[float, ...] = ()

    def limits_in(self, condition: Condition | None) -> frozenset[tuple[str, float]]:
        """Every place on the way of a leg that the condition asks about, with its signal."""
        if condition is None:
            return frozenset()
        return frozenset(
            (leaf.signal, float(leaf.value))
            for leaf in leaves(condition)
            if leaf.signal in self._places and isinstance(leaf.value, (int, float))
        )

    def see(self, sample: Sample, stretch: int) -> None:
        """Take a new sample.

        Args:
            sample: its legs are where they are at its time.
            stretch: another number whenever the logic has changed something.
        """
        seen = tuple(leg.travel_fraction for leg in sample.view.legs)
        passed_s = sample.time_s - self._seen_s
        if stretch != self._stretch:
            self._stretch, self._speeds = stretch, ()
        elif not self._speeds and passed_s > _NEARLY_S:
            pairs = zip(seen, self._seen, strict=True)
            self._speeds = tuple(
                0.0 if now is None or before is None else (now - before) / passed_s
                for now, before in pairs
            )
        self._seen_s, self._seen = sample.time_s, seen

    def next_s(self, limits: Iterable[tuple[str, float]], now_s: float) -> float:
        """When the next of ``limits`` is reached or has just been passed; inf = none is.

        Args:
            limits: from ``limits_in``.
            now_s: only what comes after this counts.
        """
        if not self._speeds:
            return max(self._seen_s, now_s) + PROBE_S
        times = (time_s for limit in limits for time_s in self._times(*limit))
        return min((time_s for time_s in times if time_s > now_s + _NEARLY_S), default=inf)

    def _times(self, signal: str, limit: float) -> Iterator[float]:
        place = self._places[signal]
        speed, here = self._speeds[place], self._seen[place]
        if speed and here is not None:
            at_s = self._seen_s + (limit - here) / speed
            yield at_s
            yield at_s + PAST_S
