"""Laws that hold in every scenario, whatever it expects.

* Never a command to raise the gear while a strut is known to carry weight and a leg is down (FAA
  Airplane Flying Handbook ch. 12, fig. 12-12).
* Never a green lamp commanded of a leg that is not locked down (14 CFR 25.729(e)(1)); the lamp and
  warning tests aside, which light every lamp.
* Never a leg from locked up to locked down, or back, in one step (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.bench.trace import Sample
from panelbridge.signals import LegState

_ENDS = {LegState.UP_LOCKED, LegState.DOWN_LOCKED}


class LawWatch:
    """Holds each sample against the one before.

    Args:
        first: the sample at the start.
    """

    def __init__(self, first: Sample) -> None:
        self._before = first

    def look(self, sample: Sample) -> Iterator[tuple[str, str]]:
        """What is broken: what must be and what was, in words."""
        before, self._before = self._before, sample
        if sample.gear_command == "up" and before.gear_command != "up":
            for leg in sample.view.legs:
                if leg.strut_compressed and leg.locks.is_down:
                    yield (
                        "never a command to raise the gear with weight on a strut",
                        f"gear_command is up, weight on the {leg.name} strut",
                    )
        tested = sample.switches.lamp_test is True
        for leg, was in zip(sample.view.legs, before.view.legs, strict=True):
            if sample.outputs.lamps.get(f"{leg.name}_green") and not (tested or leg.locks.is_down):
                yield (
                    "never a green lamp of a leg that is not locked down",
                    f"{leg.name}_green is lit, the {leg.name} leg is {leg.state}",
                )
            if {leg.state, was.state} == _ENDS and sample.time_s > 0.0:
                yield (
                    "never a leg from one lock to the other in one step",
                    f"the {leg.name} leg went from {was.state} to {leg.state}",
                )
