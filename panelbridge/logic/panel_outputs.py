"""From what the systems light and sound to the outputs: tests, dimmer, flash, power, gauges.

What was made is remembered: a test that begins and ends, a flash, or a knob that goes back, gives
the very objects of before, and nobody has to compare them.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan
from types import MappingProxyType

from panelbridge.logic.lamps import HORN_TESTS, NONE, LampParameters, Look, Tests, shine
from panelbridge.signals import NO_SOLENOIDS, HornPattern, Outputs

GAUGE_STEP_PSI = 10.0
"""A pressure gauge is moved in steps of this size, so that noise makes no new outputs."""
_STEPS = {"brake_accumulator": 0.1}
"""Steps of gauges that show no pressure, in their own units."""
_REMEMBERED = 64
GaugeSteps = tuple[tuple[str, int], ...]
"""Name of each known gauge and its value in steps."""


class PanelOutputs:
    """Lamps, horn, gauges and solenoids.

    Args:
        parameters: of the lamps.
        test_pattern: how the horn sounds in a test.
        warning_tested: the lamps that the gear warning test lights.
    """

    def __init__(
        self,
        parameters: LampParameters,
        test_pattern: HornPattern,
        warning_tested: frozenset[str] = NONE,
    ) -> None:
        self._parameters = parameters
        self._test_pattern = test_pattern
        self._warning_tested = warning_tested
        self._lit: Mapping[str, bool] = {}
        self._pattern = HornPattern.SILENT
        self._solenoids: Mapping[str, bool] = NO_SOLENOIDS
        self._made: dict[tuple[Look, GaugeSteps], Outputs] = {}

    def take(
        self,
        lit: Mapping[str, bool],
        pattern: HornPattern,
        solenoids: Mapping[str, bool] = NO_SOLENOIDS,
    ) -> None:
        """Take what the systems light, sound and energise, without tests and dimmer."""
        if lit != self._lit or pattern is not self._pattern or solenoids != self._solenoids:
            self._lit, self._pattern = lit, pattern
            self._solenoids = MappingProxyType(dict(solenoids))
            self._made.clear()

    def show(self, look: Look, gauges: GaugeSteps = ()) -> Outputs:
        """What the panel shows.

        Args:
            look: tests, dimmer, night, flash and power.
            gauges: where the known gauges stand.
        """
        key = (look, gauges)
        outputs = self._made.get(key)
        if outputs is not None:
            return outputs
        lamps = shine(self._lit, self._parameters, look, warning_tested=self._warning_tested)
        known = gauges if look.powered else ()
        shown = {name: steps * _STEPS.get(name, GAUGE_STEP_PSI) for name, steps in known}
        current = self._solenoids if look.powered else dict.fromkeys(self._solenoids, False)
        outputs = Outputs(
            lamps,
            self._horn(look),
            MappingProxyType(shown),
            MappingProxyType(dict(current)),
        )
        if len(self._made) >= _REMEMBERED:
            self._made.clear()
        self._made[key] = outputs
        return outputs

    def _horn(self, look: Look) -> HornPattern:
        if not look.powered:
            return HornPattern.SILENT
        if self._pattern is HornPattern.SILENT:
            sounds = self._parameters.lamp_test_sounds_horn
            tests = Tests(look.lamp_test, look.warning_test, sounds)
            if any(rule.holds(tests) for rule in HORN_TESTS):
                return self._test_pattern
        return self._pattern


def gauge_steps(values: Mapping[str, float | None]) -> GaugeSteps:
    """Where gauges stand, from their values; unknown ones are left out."""
    return tuple(
        [
            (name, round(value / _STEPS.get(name, GAUGE_STEP_PSI)))
            for name, value in values.items()
            if value is not None and not isnan(value)
        ]
    )
