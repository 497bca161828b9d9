"""Laws that hold in every scenario, whatever it expects.

* Never a command to raise the gear while a strut is known to carry weight and a leg is down (FAA
  Airplane Flying Handbook ch. 12, fig. 12-12), unless the pilot overrides the squat switches.
* Never a green lamp commanded of a leg that is not locked down (14 CFR 25.729(e)(1)); the tests
  aside, which light lamps whatever the gear does.
* Never a leg of the model from locked up to locked down, or back, in one step (common practice, no
  source). Where the legs are found at first is no step, and legs whose locks come from the feed
  go as the scenario says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.air_ground.facts import AirGroundFacts, SquatOverrideFacts
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.kit.aircraft_cells import SIMULATOR_HANDLE, strut
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.signals import GearPosition, LegState

Broken = tuple[str, str]
"""What must be and what was, in words."""
_ENDS = {LegState.UP_LOCKED, LegState.DOWN_LOCKED}


class LawWatch:
    """Compares each sample with the one before.

    Args:
        first: the sample at the start.
        names: of the legs that have a squat switch, those that move first.
        own_legs: the legs are the model's; False when their locks come from the feed.
    """

    def __init__(self, first: Sample, names: Sequence[str], *, own_legs: bool = True) -> None:
        self._before = first
        self._names = names
        self._own_legs = own_legs
        self._placed = self._places_legs(first)

    def look(self, sample: Sample) -> Iterable[Broken]:
        """What is broken: what must be and what was, in words."""
        before, self._before = self._before, sample
        if sample is not before and sample.is_only_later(before):
            return ()
        placed, self._placed = self._placed, self._placed or self._places_legs(sample)
        broken = [*self._raised(sample, before), *self._green(sample)]
        if self._own_legs and placed and sample.time_s > 0.0:
            broken += self._jumped(sample, before)
        return broken

    def _places_legs(self, sample: Sample) -> bool:
        """Whether the aircraft's data give the model's legs a position."""
        struts = [sample[strut(place)] for place in range(len(self._names))]
        return sample[SIMULATOR_HANDLE] is not None or any(one is not None for one in struts)

    def _legs(self, sample: Sample) -> Iterator[tuple[str, LegFacts]]:
        return zip(self._names, sample[GearFacts].legs, strict=False)

    def _raised(self, sample: Sample, before: Sample) -> Iterator[Broken]:
        up = GearPosition.UP
        if sample.shown.commands.gear is not up or before.shown.commands.gear is up:
            return
        struts = sample[AirGroundFacts].struts
        overridden = sample[SquatOverrideFacts].in_use
        for (name, leg), compressed in zip(self._legs(sample), struts, strict=False):
            if compressed and leg.is_down and not overridden:
                yield (
                    "never a command to raise the gear with weight on a strut",
                    f"gear_command is up, weight on the {_words(name)} strut",
                )

    def _green(self, sample: Sample) -> Iterator[Broken]:
        tests, lamps = sample[LampFacts], sample.shown.outputs.lamps
        if tests.lamp_test or tests.warning_test:
            return
        for name, leg in self._legs(sample):
            if not leg.is_down and lamps.get(f"{name}_green"):
                yield (
                    "never a green lamp of a leg that is not locked down",
                    f"{name}_green is lit, the {_words(name)} leg is {_words(leg.state)}",
                )

    def _jumped(self, sample: Sample, before: Sample) -> Iterator[Broken]:
        for (name, leg), (_, was) in zip(self._legs(sample), self._legs(before), strict=True):
            if {leg.state, was.state} == _ENDS:
                yield (
                    "never a leg from one lock to the other in one step",
                    f"the {_words(name)} leg went from {_words(was.state)} to {_words(leg.state)}",
                )


def _words(name: str) -> str:
    """``left_outer`` as ``left outer``."""
    return name.replace("_", " ")
