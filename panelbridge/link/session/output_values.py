"""From outputs to the values of a COMMAND."""

from __future__ import annotations

import math
from functools import lru_cache, partial

from panelbridge.config.panel_parts.output_entries import NeedleEntry
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.signals import HornPattern, Outputs

TONE_OF_HORN = {HornPattern.SILENT: 0, HornPattern.INTERMITTENT: 1, HornPattern.CONTINUOUS: 2}

ENERGISED = 255
"""Value of a solenoid that is energised."""


class OutputValues:
    """Converts ``Outputs`` to the values of one board's COMMAND."""

    def __init__(self, plan: SetupPlan) -> None:
        self._lamps = plan.lamps
        self._has_horn = plan.has_horn
        # Most changes are of lamps, so the pulses of the gauges are cached.
        self._gauges = [
            (name, lru_cache(maxsize=16)(partial(pulse_us, gauge))) for name, gauge in plan.gauges
        ]
        self._solenoids = plan.solenoids

    def of(self, outputs: Outputs) -> tuple[int, ...]:
        """One value for each output of the board, in the set-up's order.

        A lamp that ``outputs`` does not name is dark, a gauge gets no pulse, a solenoid no current.
        """
        brightness = outputs.lamps.get
        values = [brightness(name, 0) for name in self._lamps]
        if self._has_horn:
            values.append(TONE_OF_HORN[outputs.horn])
        for name, cached_pulse_us in self._gauges:
            values.append(cached_pulse_us(outputs.gauges.get(name)))
        for name in self._solenoids:
            values.append(ENERGISED if outputs.solenoids.get(name) else 0)
        return tuple(values)


def pulse_us(gauge: NeedleEntry, value: float | None) -> int:
    """The servo pulse that shows ``value``, us; held to the scale; 0 when unknown."""
    if value is None or not math.isfinite(value):
        return 0
    fraction = min(max(value / gauge.full_scale, 0.0), 1.0)
    return round(gauge.pulse_at_0_us + (gauge.pulse_at_1_us - gauge.pulse_at_0_us) * fraction)
