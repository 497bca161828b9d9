"""D-1: 14 CFR 25.735(d), Amdt 25-107: parking brake. L-7 to L-9."""

from __future__ import annotations

from itertools import product

import pytest

from panelbridge.logic.brakes.parameters import BrakesParameters
from tests.logic.test_brakes import braked, holds, stage, without_power

LAMP = "parking_brake_amber"
HOLDS = "parking_brake_holds_green"


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


def test_holding_and_a_lever_that_is_out_look_different() -> None:
    """25.735(d), L-8 (TM 55-1520-240-23-6): handle pulled, no pressure: lit, no hold."""
    brakes = without_power(empty=True)
    brakes.after(1.0, parking_lever=1.0)
    assert brakes.lit & {LAMP, HOLDS} == {LAMP}
    assert brakes.value("parking_brake_state") == "not_set"
    assert brakes.names == ["parking_brake_not_set"]
    brakes.after(1.0, has_pressure=True, has_parking_pressure=True)
    assert brakes.lit & {LAMP, HOLDS} == {LAMP, HOLDS}
    assert brakes.value("parking_brake_state") == "set"


@pytest.mark.parametrize(("pedal", "psi"), [(0.0, 0.0), (0.5, 500.0), (1.0, 1000.0)])
def test_pedals_pressed_and_handle_pulled_trap_fluid(pedal: float, psi: float) -> None:
    """L-8: TM 55-1520-240-23-6 p. 7-621: lamp = valve switch, not pressure; no pedal: ~0."""
    brakes = stage(needs_hydraulics=False, parking_needs_pedals=True)
    brakes.after(1.0, pedals=(pedal, pedal))
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, pedals=(0.0, 0.0))
    assert brakes.value("left_brake_psi") == pytest.approx(psi, abs=2.0)
    assert holds(brakes) is (psi > 400.0)
    assert LAMP in brakes.lit
    assert (HOLDS in brakes.lit) is (psi > 400.0)


@pytest.mark.parametrize(("antiskid", "bleeds"), [(False, 60.0), (True, 80.0)])
def test_anti_skid_left_on_bleeds_it_down_faster(antiskid: bool, bleeds: float) -> None:
    """L-7: US Navy 1278BK1: anti-skid off before it is set; the lamp stays lit when it is gone."""
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0, antiskid=antiskid)
    brakes.after(600.0)
    assert brakes.value("left_brake_psi") == 1000.0, "while a pump gives pressure"
    brakes.after(0.0, has_pressure=False, has_parking_pressure=False)
    brakes.after(60.0)
    assert brakes.value("left_brake_psi") == pytest.approx(1000.0 - bleeds)
    brakes.after(1000.0)
    assert brakes.value("left_brake_psi") == 0.0
    assert brakes.lit & {LAMP, HOLDS} == {LAMP}


def test_a_drop_of_25_psi_in_five_minutes_at_most() -> None:
    """L-9: TM 1-1520-238-23-2 para. 3.71: 500 psi, set: 475 after 5 min; released: zero."""
    usual = BrakesParameters().parking_bleed_psi_per_min
    brakes = stage(
        needs_hydraulics=False, parking_needs_pedals=True, parking_bleed_psi_per_min=usual
    )
    brakes.after(1.0, pedals=(0.5, 0.5))
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(0.0, pedals=(0.0, 0.0))
    assert brakes.value("left_brake_psi") == 500.0
    brakes.after(300.0)
    assert 475.0 <= brakes.value("left_brake_psi") < 500.0
    brakes.after(1.0, parking_lever=0.0)
    assert brakes.value("left_brake_psi") == 0.0
