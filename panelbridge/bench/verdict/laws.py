"""Laws that hold in every scenario, whatever it expects.

* Never a command to raise the gear while a strut is known to carry weight and a leg is down (FAA
  Airplane Flying Handbook ch. 12, fig. 12-12).
* Never a green lamp commanded of a leg that is not locked down (14 CFR 25.729(e)(1)); the tests
  aside, which light lamps whatever the gear does.
* Never a leg of the model from locked up to locked down, or back, in one step (common practice, no
  source). Where the legs are found at first is no step, and legs whose locks the feed tells go as
  the scenario says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from panelbridge.bench.verdict.trace import Sample
from panelbridge.signals import LegState

Broken = tuple[str, str]
"""What must be and what was, in words."""
_ENDS = {LegState.UP_LOCKED, LegState.DOWN_LOCKED}


class LawWatch:
    """Holds each sample against the one before.

    Args:
        first: the sample at the start.
        own_legs: the legs are the model's; False when the feed tells their locks.
    """

    def __init__(self, first: Sample, *, own_legs: bool = True) -> None:
        self._before = first
        self._own_legs = own_legs
        self._placed = _tells_where_legs_are(first)

    def look(self, sample: Sample) -> Iterable[Broken]:
        """What is broken: what must be and what was, in words."""
        before, self._before = self._before, sample
        if (
            sample.view is before.view
            and sample.outputs is before.outputs
            and sample.gear_command == before.gear_command
            and sample.switches.lamp_test is before.switches.lamp_test
            and sample.switches.warning_test is before.switches.warning_test
            and sample is not before
        ):
            return ()
        placed, self._placed = self._placed, self._placed or _tells_where_legs_are(sample)
        broken = [*_raised(sample, before), *_green(sample)]
        if self._own_legs and placed and sample.time_s > 0.0:
            broken += _jumped(sample, before)
        return broken


def _tells_where_legs_are(sample: Sample) -> bool:
    """The aircraft says something of its gear: from then on the model's legs have a place."""
    struts = sample.aircraft.strut_compressed
    return sample.aircraft.gear_handle is not None or any(one is not None for one in struts)


def _raised(sample: Sample, before: Sample) -> Iterator[Broken]:
    if sample.gear_command == "up" and before.gear_command != "up":
        for leg in sample.view.legs:
            if leg.strut_compressed and leg.locks.is_down:
                yield (
                    "never a command to raise the gear with weight on a strut",
                    f"gear_command is up, weight on the {leg.name} strut",
                )


def _green(sample: Sample) -> Iterator[Broken]:
    if sample.switches.lamp_test is True or sample.switches.warning_test is True:
        return
    for leg in sample.view.legs:
        if not leg.locks.is_down and sample.outputs.lamps.get(f"{leg.name}_green"):
            yield (
                "never a green lamp of a leg that is not locked down",
                f"{leg.name}_green is lit, the {leg.name} leg is {leg.state}",
            )


def _jumped(sample: Sample, before: Sample) -> Iterator[Broken]:
    for leg, was in zip(sample.view.legs, before.view.legs, strict=True):
        if {leg.state, was.state} == _ENDS:
            yield (
                "never a leg from one lock to the other in one step",
                f"the {leg.name} leg went from {was.state} to {leg.state}",
            )
