"""D-1: 14 CFR 25.735(d), Amdt 25-107: parking brake."""

from __future__ import annotations

from itertools import product

import pytest

from tests.logic.test_brakes import braked, holds, stage, without_power

LAMP = "parking_brake_amber"


@pytest.mark.parametrize(
    ("lever", "lit"),
    [(0.0, False), (0.1, False), (0.11, True), (0.5, True), (0.89, True), (1.0, True)],
)
def test_the_lamp_shows_not_fully_released(lever: float, lit: bool) -> None:
    """25.735(d): released 0; partly pulled 1; set 1. Tied to "fully set" it would fail."""
    brakes = stage()
    brakes.after(1.0, parking_lever=lever)
    assert (LAMP in brakes.lit) is lit


def test_pressure_that_is_trapped_and_a_sensor_that_is_lost_light_it() -> None:
    """25.735(d): lever released and pressure still trapped 1; lever sensor failed 1."""
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0)
    brakes.fault("parking_brake", "sticking")
    brakes.after(1.0, parking_lever=0.0)
    assert LAMP in brakes.lit
    brakes.fault("parking_brake", None)
    assert LAMP not in brakes.lit
    brakes.after(1.0, parking_lever=None)
    assert LAMP in brakes.lit


def test_it_goes_out_only_when_fully_released() -> None:
    """25.735(d), for every way through the lever's places, the valve and the pressure."""
    for levers in product((0.0, 0.5, 1.0, None), repeat=3):
        for sticks, pressure in product((False, True), (False, True)):
            brakes = stage() if pressure else without_power()
            brakes.fault("parking_brake", "sticking" if sticks else None)
            for lever in levers:
                brakes.after(1.0, parking_lever=lever)
            released = levers[-1] == 0.0 and max(braked(brakes)) == 0.0
            assert (LAMP not in brakes.lit) is released, (levers, sticks, pressure)


def test_selected_it_holds_without_further_attention() -> None:
    """25.735(d): ten hours; with no pressure at all it still holds for a while."""
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(36000.0)
    assert braked(brakes) == (1.0,) * 4
    brakes.after(1.0, has_pressure=False, has_parking_pressure=False)
    brakes.after(300.0)
    assert holds(brakes)
