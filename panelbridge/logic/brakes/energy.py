"""Stored energy of the brakes, counted in full applications.

Without pressure from a pump each application takes from the accumulator what it rises by; with
pressure the accumulator fills again, evenly. Source: 14 CFR 25.735(h) (usable stored energy is
indicated; at least six full applications with the anti-skid not operating).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, nextafter

from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.drift import Drift


@dataclass(frozen=True, slots=True)
class Energy:
    """The accumulator of the brakes.

    Attributes:
        left: full applications that are left.
        charges: a pump gives pressure.
        broken: it holds nothing.
    """

    left: Drift
    charges: bool = False
    broken: bool = False


def full_energy(parameters: BrakesParameters) -> Energy:
    """A full accumulator."""
    full = parameters.full_applications
    return Energy(Drift(Line(0.0, full, 0.0, 0.0, full)))


def _at(now_s: float, energy: Energy, left: float, parameters: BrakesParameters) -> Energy:
    """The accumulator with this many applications, exactly; it goes on filling from there."""
    full, low = parameters.full_applications, parameters.low_applications
    fills = energy.charges and not energy.broken and left < full
    # At the limit it is still low: the next number is where that ends.
    limits = (min(nextafter(low, inf), full), full)
    rate = full / parameters.recharge_s if fills else 0.0
    moved = energy.left.moved(now_s, left, rate, limits)
    return energy if moved is energy.left else Energy(moved, energy.charges, energy.broken)


def follow_energy(
    now_s: float, energy: Energy, parameters: BrakesParameters, *, charges: bool, broken: bool
) -> Energy:
    """The accumulator now: filled up to now, charged or not, broken or mended.

    Args:
        now_s: seconds.
        energy: as it was.
        parameters: the numbers of the brakes.
        charges: a pump gives pressure.
        broken: it holds nothing; mended it is full.
    """
    left = energy.left.at(now_s)
    if broken is not energy.broken:
        left = 0.0 if broken else parameters.full_applications
    return _at(now_s, Energy(energy.left, charges, broken), left, parameters)


def use_energy(now_s: float, energy: Energy, used: float, parameters: BrakesParameters) -> Energy:
    """The accumulator without some full applications; what is not there is not taken."""
    if not used:
        return energy
    return _at(now_s, energy, max(energy.left.at(now_s) - used, 0.0), parameters)
