"""Which limits the pressure and the fluid are beyond, each with its hysteresis.

Pressures are compared as fluid in the accumulator (Boyle): at a crossing that volume is on its
level to the last digit. A limit counts as reached at the limit itself, falling or rising.
"""

from __future__ import annotations

from bisect import bisect_left

from panelbridge.logic.hydraulic_parameters import HydraulicsParameters


class HydraulicLevels:
    """The limits and on which side of them the system is.

    Args:
        parameters: the numbers of the system.
    """

    def __init__(self, parameters: HydraulicsParameters) -> None:
        self._parameters = parameters
        aux, volume = parameters.aux_pump, parameters.accumulator.volume_l
        self._low_l, self._clear_l = volume(parameters.low_psi), volume(parameters.low_clear_psi)
        self._usable_l = volume(parameters.usable_psi)
        self._usable_again_l = volume(parameters.usable_again_psi)
        self._cut_in_l = volume(aux.cut_in_psi) if aux else 0.0
        self._cut_out_l = volume(aux.cut_out_psi) if aux else 0.0
        self._limits_psi = sorted(
            {
                0.0,
                parameters.low_psi,
                parameters.low_clear_psi,
                parameters.usable_psi,
                parameters.usable_again_psi,
                *((aux.cut_in_psi, aux.cut_out_psi) if aux else ()),
                parameters.relief_psi,
            }
        )
        self._switch_known = False
        self.is_usable = False
        """There is pressure to serve consumers with."""
        self.is_low = True
        """The pressure is low, or unknown."""
        self.wants_pressure = False
        """The pressure switch of the auxiliary pump asks for pressure."""
        self.fluid_low = False
        """Little fluid is in the reservoir."""

    @property
    def accumulator_levels(self) -> tuple[float, ...]:
        """Volumes in the accumulator at which something can change, litres."""
        step = self._parameters.gauge_step_psi
        volume = self._parameters.accumulator.volume_l
        steps = range(1, int(self._parameters.relief_psi / step) + 1)
        limits = (self._low_l, self._clear_l, self._usable_l, self._usable_again_l)
        return (*limits, self._cut_in_l, self._cut_out_l, *(volume(n * step) for n in steps))

    def between(self, pressure_psi: float) -> tuple[float, float]:
        """The limits next below and next above a pressure; at a limit, the limit twice."""
        limits = self._limits_psi
        place = bisect_left(limits, pressure_psi)
        above = limits[place]
        return (above, above) if above == pressure_psi or not place else (limits[place - 1], above)

    def take(self, accumulator_l: float | None, reservoir_l: float) -> None:
        """Compare.

        Args:
            accumulator_l: fluid in the accumulator, litres; None when the pressure is unknown.
            reservoir_l: fluid in the reservoir, litres.
        """
        numbers = self._parameters
        self.fluid_low = reservoir_l <= numbers.fluid_low_l or (
            self.fluid_low and reservoir_l < numbers.fluid_clear_l
        )
        if accumulator_l is None:
            # The pressure switch stays as it is: what is unknown neither starts nor stops a pump.
            self.is_usable, self.is_low = False, True
            return
        self.is_usable = accumulator_l > self._usable_l and (
            self.is_usable or accumulator_l >= self._usable_again_l
        )
        self.is_low = accumulator_l <= self._low_l or (
            self.is_low and accumulator_l < self._clear_l
        )
        if accumulator_l >= self._cut_out_l:
            self.wants_pressure = False
        elif accumulator_l <= self._cut_in_l or not self._switch_known:
            self.wants_pressure = True
        self._switch_known = True
