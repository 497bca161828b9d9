"""The stored energy of the brakes: an accumulator, counted in full applications.

An application is full when the pressure after it is still that of full braking, so the count
follows from the gas, not from a tally (14 CFR 25.735(h): usable stored energy is indicated, at
least six full applications with the anti-skid not operating).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, inf
from typing import Any

from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.curves import Boyle, Line, turns
from panelbridge.logic.kit.declarations import Misfit

_ROUNDING = 1e-11


class Store:
    """An accumulator as brakes use it; holds no state.

    Args:
        gas: its gas.
        parameters: the numbers of the brakes.
    """

    def __init__(self, gas: Boyle, parameters: BrakesParameters) -> None:
        self.gas = gas
        self._base_l = gas.volume_l(parameters.full_psi)
        self._each_l = parameters.application_l

    def left(self, fluid_l: float) -> int:
        """Full applications that so much fluid is good for."""
        return max(floor((fluid_l - self._base_l) / self._each_l + _ROUNDING), 0)

    def marks(self, most_l: float) -> list[float]:
        """Volumes up to ``most_l`` at which the number of applications changes, litres."""
        most = self.left(most_l)
        return [self._base_l + number * self._each_l for number in range(1, most + 1)]

    def changes_s(self, fluid_l: Line, now_s: float) -> float:
        """When the number of applications changes next, s; inf = never."""
        left, rises = self.left(fluid_l.at(now_s)), fluid_l.rate > 0.0
        if not fluid_l.rate or (not left and not rises):
            return inf
        mark_l = self._base_l + (left + rises) * self._each_l
        return turns(fluid_l, mark_l, now_s, lambda volume_l: self.left(volume_l) != left)


def own_gas(parameters: BrakesParameters, charged_psi: float) -> Boyle | None:
    """The gas of the brakes' own accumulator, charged to a pressure; None without one."""
    own = parameters.accumulator
    if own is None:
        return None
    return Boyle(
        Line(low=0.0, high=own.gas_volume_l),
        own.gas_volume_l,
        own.precharge_psi,
        exponent=own.gas_exponent,
        charged_psi=charged_psi,
    )


def store_of(aircraft: Any) -> Store | None:
    """The accumulator that the brakes of an aircraft draw on; None without any."""
    brakes, hydraulics = (
        aircraft.optional(BrakesParameters),
        aircraft.optional(HydraulicsParameters),
    )
    gas = own_gas(brakes, hydraulics.nominal_psi)
    if gas is None and "wheel_brakes" in hydraulics.accumulator.serves:
        gas = hydraulics.gas()
    return None if gas is None else Store(gas, brakes)


def unfilled(aircraft: Any) -> Iterator[Misfit]:
    """An accumulator of the brakes that the hydraulics never fill, or have not the fluid for."""
    brakes = aircraft.optional(BrakesParameters)
    hydraulics = aircraft.optional(HydraulicsParameters)
    if brakes.accumulator is None or hydraulics is None:
        return
    where, most_psi = ("brakes", "accumulator"), hydraulics.relief_psi
    if brakes.accumulator.precharge_psi >= hydraulics.nominal_psi:
        what = "the hydraulics never fill this accumulator: they hold a lower pressure"
        hint = f"Write a precharge below 'nominal_psi: {hydraulics.nominal_psi:g}'"
        yield Misfit((*where, "precharge_psi"), what, hint)
    gases = (hydraulics.gas(), own_gas(brakes, hydraulics.nominal_psi))
    held_l = brakes.application_l + sum([gas.volume_l(most_psi) for gas in gases if gas])
    if hydraulics.reservoir_l - held_l <= hydraulics.fluid_clear_l:
        what = f"full accumulators and brakes hold {held_l:.2f} l: the fluid would be low"
        hint = "Write a smaller 'gas_volume_l', or a greater 'reservoir_l' of the hydraulics"
        yield Misfit((*where, "gas_volume_l"), what, hint)
