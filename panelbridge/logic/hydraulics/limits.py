"""Which limits the pressure and the fluid are beyond, each with its hysteresis.

Pressures of the model are compared as fluid in the accumulator (Boyle): at a mark that volume is on
it to the last digit. A limit counts as reached at the limit itself, falling or rising.
"""

from __future__ import annotations

from math import inf
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Quantiser, Reading, Threshold, below
from panelbridge.logic.kit.world import World

_ACCUMULATOR_L = Handle[float]("accumulator_l")
_RESERVOIR_L = Handle[float]("reservoir_l")


class PressureSteps(Quantiser):
    """The steps of the gauge; it never shows less than 0 or more than relief."""

    def __init__(self, of: Handle[float], step: float, most: float) -> None:
        super().__init__(of, step)
        self._most = most

    def take(self, number: float | None, before: int | None) -> int | None:
        """The step, or None while the pressure is unknown."""
        known = None if number is None else min(max(number, 0.0), self._most)
        return super().take(known, before)

    def band(self, reading: int | None) -> tuple[float, float]:
        """While low < number <= high the step stays."""
        low, high = super().band(reading)
        if reading is None:
            return low, high
        return (-inf if low < 0.0 else low), (inf if high >= self._most else high)


class LimitSides(Struct, frozen=True):
    """On which side of each limit the system is.

    Attributes:
        usable: there is pressure to serve consumers with; None when the pressure is unknown.
        normal: the pressure is not low; None when unknown.
        pressed: the feed reports any pressure at all; None when unknown.
        wants_pressure: the pressure switch of the auxiliary pump asks for pressure.
        fluid_low: little fluid is in the reservoir.
        gauge_steps: where the needle of the gauge stands, in its steps; None when unknown.
    """

    usable: bool | None = False
    normal: bool | None = False
    pressed: bool | None = None
    wants_pressure: bool = True
    fluid_low: bool = False
    gauge_steps: int | None = 0


UNKNOWN = LimitSides(None, None, wants_pressure=False, gauge_steps=None)
"""Of a pressure that nobody has reported yet: it does not start a pump either."""


class Limits:
    """The limits of one system.

    Args:
        parameters: the numbers of the system.
        fed: the feed reports the pressure.
    """

    def __init__(self, parameters: HydraulicsParameters, *, fed: bool) -> None:
        aux, relief_psi = parameters.aux_pump, parameters.relief_psi
        self._gas = gas = parameters.gas()
        limits_psi: list[float] = []

        def band(least_psi: float, most_psi: float, *, keeps: bool = False) -> Threshold:
            """True from the greater pressure on, False from the lesser one down."""
            limits_psi.extend((least_psi, most_psi))
            if fed:
                return Threshold(HYDRAULIC_PRESSURE_PSI, below(most_psi), least_psi, keeps=keeps)
            least_l, most_l = gas.volume_l(least_psi), gas.volume_l(most_psi)
            return Threshold(_ACCUMULATOR_L, below(most_l), least_l)

        self._usable = band(parameters.usable_psi, parameters.usable_again_psi)
        self._normal = band(parameters.low_psi, parameters.low_clear_psi)
        self._up = band(aux.cut_in_psi, aux.cut_out_psi, keeps=True) if aux else None
        self._pressed = Threshold(HYDRAULIC_PRESSURE_PSI, 0.0)
        step_psi = parameters.gauge_step_psi
        self._steps = PressureSteps(HYDRAULIC_PRESSURE_PSI, step_psi, relief_psi)
        low_l, clear_l = parameters.fluid_low_l, parameters.fluid_clear_l
        self._enough = Threshold(_RESERVOIR_L, below(clear_l), low_l)
        steps_psi = [number * step_psi for number in range(1, int(relief_psi / step_psi) + 1)]
        self.accumulator_marks = [gas.volume_l(psi) for psi in (*limits_psi, *steps_psi)]
        """Volumes in the accumulator at which something can change, litres."""
        self.readings: tuple[Reading[Any], ...] = ()
        """Of the feed's pressure."""
        if fed:
            self.readings = (self._usable, self._normal, self._pressed, self._steps)
            self.readings += (self._up,) if self._up else ()

    def of_fluid(self, sides: LimitSides, accumulator_l: float) -> LimitSides:
        """The sides by what is in the accumulator, litres."""
        wants_pressure = sides.wants_pressure
        if self._up is not None:
            wants_pressure = not self._up.take(accumulator_l, not wants_pressure)
        return replace(
            sides,
            usable=self._usable.take(accumulator_l, sides.usable),
            normal=self._normal.take(accumulator_l, sides.normal),
            wants_pressure=wants_pressure,
            gauge_steps=self._steps.take(self._gas.of(accumulator_l), sides.gauge_steps),
        )

    def of_feed(self, sides: LimitSides, world: World) -> LimitSides:
        """The sides by the pressure that the feed reports.

        The pressure switch stays as it is while that is unknown.
        """
        up = world[self._up] if self._up is not None else None
        return replace(
            sides,
            usable=world[self._usable],
            normal=world[self._normal],
            pressed=world[self._pressed],
            wants_pressure=sides.wants_pressure if up is None else not up,
            gauge_steps=world[self._steps],
        )

    def of_reservoir(self, sides: LimitSides, reservoir_l: float) -> LimitSides:
        """The sides by what is in the reservoir, litres."""
        is_low = not self._enough.take(reservoir_l, not sides.fluid_low)
        return sides if is_low is sides.fluid_low else replace(sides, fluid_low=is_low)
