"""From what the systems light and sound to the panel's outputs: tests, dimmer and gauges over them.

What was made is remembered: a test that begins and ends, or a knob that goes back, gives the very
objects of before, and nobody has to compare them.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from panelbridge.logic.lamps import HORN_TESTS, LampParameters, Tests, shine
from panelbridge.signals import HornPattern, Outputs, SwitchState

GAUGE_STEP_PSI = 10.0
"""A gauge is moved in steps of this size, so that noise makes no new outputs."""
_REMEMBERED = 64


class PanelOutputs:
    """Lamps, horn and gauges.

    Args:
        parameters: of the lamps.
        test_pattern: how the horn sounds in a test.
    """

    def __init__(self, parameters: LampParameters, test_pattern: HornPattern) -> None:
        self._parameters = parameters
        self._test_pattern = test_pattern
        self._lit: Mapping[str, bool] = {}
        self._pattern = HornPattern.SILENT
        self._made: dict[tuple[float | None, bool, bool, int | None], Outputs] = {}

    def take(self, lit: Mapping[str, bool], pattern: HornPattern) -> None:
        """Take what the systems light, without tests and dimmer, and how the horn sounds."""
        if lit != self._lit or pattern is not self._pattern:
            self._lit, self._pattern = lit, pattern
            self._made.clear()

    def show(self, switches: SwitchState, pressure_steps: int | None) -> Outputs:
        """What the panel shows.

        Args:
            switches: their tests and the dimmer count.
            pressure_steps: hydraulic pressure in steps of ``GAUGE_STEP_PSI``; None when unknown.
        """
        lamp_test = switches.lamp_test is True
        warning_test = switches.warning_test is True
        key = (switches.dimmer_fraction, lamp_test, warning_test, pressure_steps)
        outputs = self._made.get(key)
        if outputs is not None:
            return outputs
        lamps = shine(
            self._lit,
            self._parameters,
            dimmer_fraction=switches.dimmer_fraction,
            lamp_test=lamp_test,
            warning_test=warning_test,
        )
        horn = self._pattern
        if horn is HornPattern.SILENT:
            tests = Tests(lamp_test, warning_test, self._parameters.lamp_test_sounds_horn)
            if any(rule.holds(tests) for rule in HORN_TESTS):
                horn = self._test_pattern
        gauges: dict[str, float] = {}
        if pressure_steps is not None:
            gauges["hydraulic_pressure"] = pressure_steps * GAUGE_STEP_PSI
        outputs = Outputs(lamps, horn, MappingProxyType(gauges))
        if len(self._made) >= _REMEMBERED:
            self._made.clear()
        self._made[key] = outputs
        return outputs
