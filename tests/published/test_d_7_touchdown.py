"""D-7: AMT Handbook, Airframe, ch. 13: the pressure at each wheel before and after a touchdown."""

from __future__ import annotations

from typing import Any

import pytest

from tests.logic.brake_set import BrakeSet

FULL, NOTHING = (1.0, 1.0), (0.0, 0.0)
FULL_PSI, NO_PSI = (1600.0, 1600.0), (0.0, 0.0)


def test_pedals_full_in_the_air_brake_nothing_until_the_wheels_turn() -> None:
    """AMT Handbook ch. 13: braking before landing is inhibited; blocked until spin-up."""
    brakes = BrakeSet()
    assert (brakes.at(1.0, pedals=FULL), brakes.psi()) == (FULL, FULL_PSI)
    assert (brakes.at(2.0, on_ground=False), brakes.psi()) == (NOTHING, NO_PSI)
    assert (brakes.at(10.0, on_ground=True), brakes.psi()) == (NOTHING, NO_PSI)
    turning = brakes.at(10.5, speeds=(500.0, 100.0))
    assert (turning, brakes.psi()) == ((1.0, 0.0), (1600.0, 0.0))
    assert (brakes.at(10.6, speeds=(500.0, 500.0)), brakes.psi()) == (FULL, FULL_PSI)


def test_a_wheel_that_is_let_go_has_no_pressure_and_the_others_keep_theirs() -> None:
    """AMT Handbook ch. 13: a locked wheel is let go, and braked again when it turns."""
    brakes = BrakeSet()
    brakes.at(1.0, pedals=FULL, speeds=(500.0, 500.0))
    brakes.at(2.0, speeds=(50.0, 500.0))
    assert brakes.psi() == (0.0, 1600.0)
    brakes.at(3.0, speeds=(500.0, 500.0))
    assert brakes.psi() == FULL_PSI


def test_a_brake_has_no_more_than_its_source() -> None:
    """14 CFR 25.735(h): pressure follows what is stored; by hand, a bottle of 550 - 150 psi.

    The first application finds 550 psi and takes 150 of them: 400 psi press, not 1600.
    """
    brakes = BrakeSet(bottle_full_psi=550.0, bottle_least_psi=300.0)
    assert brakes.at(1.0, emergency_lever=1.0) == (0.25, 0.25)
    assert brakes.psi() == (400.0, 400.0)


def test_or_the_time_is_over() -> None:
    """AMT Handbook ch. 13: a protection that waited for ever would take the brakes away."""
    brakes = BrakeSet()
    brakes.at(1.0, pedals=FULL, on_ground=False)
    assert brakes.at(10.0, on_ground=True) == NOTHING
    assert brakes.at(12.4) == NOTHING
    assert brakes.at(12.5) == FULL


@pytest.mark.parametrize("antiskid", [False, None])
def test_with_anti_skid_off_there_is_none(antiskid: bool | None) -> None:
    """Our own decision: the protection is a part of anti-skid, and goes with its switch."""
    brakes = BrakeSet()
    assert brakes.at(1.0, pedals=FULL, on_ground=False, antiskid=antiskid) == FULL


def test_neither_parking_nor_emergency_brake_are_kept_off() -> None:
    """D-6, common practice, no source: inactive with both of them."""
    brakes = BrakeSet()
    brakes.at(1.0, on_ground=False)
    assert brakes.at(2.0, parking_lever=1.0) == FULL
    assert brakes.at(3.0, parking_lever=0.0) == NOTHING
    assert brakes.at(4.0, emergency_lever=1.0) == FULL


def test_one_bottle_for_the_gear_and_the_brake() -> None:
    """14 CFR 23.729(c): what the gear has used is not there for the brake, and the other way."""
    brakes = BrakeSet(bottle_full_psi=2000.0, extension_use_psi=1000.0, brake_use_psi=300.0)
    brakes.at(1.0, handle=True)
    told: list[Any] = [brakes.air_psi()]
    for number in range(3):
        fractions = brakes.at(2.0 + number, emergency_lever=1.0)
        told.append((brakes.air_psi(), fractions))
        brakes.at(2.5 + number, emergency_lever=0.0)
    # 400 psi is where it no longer moves anything; 700 of 1600 psi are 8.75 steps of 20: nine.
    assert told == [1000.0, (700.0, (0.45, 0.45)), (400.0, (0.25, 0.25)), (400.0, NOTHING)]
    assert brakes.air.failures() == ("the emergency air bottle is empty",)
