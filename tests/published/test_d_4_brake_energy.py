"""D-4: 14 CFR 25.735(h)(1), (2): stored energy of the brakes. D-6: emergency brake."""

from __future__ import annotations

from itertools import pairwise

from panelbridge.logic.brakes.parameters import BrakesParameters
from tests.logic.test_brakes import apply, braked, left, stage, without_power


def test_six_full_applications_with_the_pump_off() -> None:
    """25.735(h)(1): with the numbers of our own; usable energy falls and is low in time."""
    usual = BrakesParameters()
    brakes = without_power(
        full_applications=usual.full_applications, low_applications=usual.low_applications
    )
    indicated = [left(brakes)]
    for _ in range(6):
        assert apply(brakes) == 1.0
        indicated.append(left(brakes))
    assert all(one > after for one, after in pairwise(indicated))
    while left(brakes) >= 1.0:
        apply(brakes)
    assert brakes.lit >= {"brake_energy_low_amber"}


def test_low_no_later_than_with_nothing_left() -> None:
    """25.735(h)(2): even a caution that is set to nothing is lit when nothing is left."""
    brakes = without_power(low_applications=0.0, full_applications=6.0)
    for number in range(6):
        assert brakes.lit == set(), number
        assert apply(brakes) == 1.0
    assert left(brakes) == 0.0
    assert brakes.lit == {"brake_energy_low_amber"}


def test_the_emergency_brake_is_equal_on_both_sides() -> None:
    """D-6, common practice, no source: no differential braking with the emergency brake."""
    for pedals in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)):
        brakes = stage()
        brakes.after(1.0, pedals=pedals)
        brakes.after(1.0, emergency_lever=0.7)
        assert braked(brakes) == (0.7,) * 4
