"""Where the brakes' pressure comes from: line, accumulator, check valve.

Conserved: fluid is drawn, returned or stored, never made; the law is in ``test_brake_fluid_laws``.
Limits: no brake presses with more than its source has, the accumulator gets no more than the line.
By hand, 1 l of gas at 514.7 psia, 0.04 l an application: at 3000 psi 0.829270 l of fluid are in;
one application later 0.789270 l: 514.7 / 0.210730 - 14.7 = 2427.8 psi; five later 0.629270 l,
1373.6 psi; eight later 0.509270 l, 1034.1 psi. Full braking, 1000 psi, has 0.492756 l: 8.4, so
eight.
"""

from __future__ import annotations

from math import inf
from typing import Any

import pytest

from panelbridge.logic.antiskid.facts import WheelFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.store import Store, own_gas
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.kit.curves import Boyle, Line
from tests.logic.test_brakes import (
    FULL_PSI,
    NUMBERS,
    BrakeStage,
    apply,
    braked,
    left,
    line_at,
    stage,
    without_power,
)


def psi(brakes: BrakeStage) -> Any:
    return brakes.value("brake_accumulator_psi")


def supplied(brakes: BrakeStage) -> Any:
    """What the supply publishes."""
    (supply,) = (one for one in brakes.loop.systems if type(one).__name__ == "BrakeSupply")
    return supply.facts


def test_three_pressures_by_hand() -> None:
    brakes = without_power()
    seen = [psi(brakes)]
    for _ in range(8):
        assert apply(brakes) == 1.0
        seen.append(psi(brakes))
    by_hand = [3000.0, 2427.8, 1373.6, 1034.1]
    assert [seen[number] for number in (0, 1, 5, 8)] == pytest.approx(by_hand, abs=0.05)
    brakes.after(1.0, pedals=(1.0, 1.0))
    assert brakes.value("left_brake_psi") == pytest.approx(955.1, abs=0.05), "the ninth"


def test_eight_applications_by_pressure_and_the_caution_at_two() -> None:
    brakes = without_power()
    counted = []
    for _ in range(9):
        counted.append((left(brakes), "brake_energy_low_amber" in brakes.lit))
        apply(brakes)
    assert counted == [(8.0 - number, number >= 6) for number in range(9)]
    assert brakes.names == ["brake_energy_low"]


def test_the_gauge_falls_to_the_precharge_and_then_to_nothing() -> None:
    brakes = without_power()
    seen = []
    for _ in range(30):
        apply(brakes)
        seen.append(psi(brakes))
    assert not [one for one in seen if 0.0 < one < 500.0]
    assert seen[-1] == 0.0
    assert min([one for one in seen if one]) < 540.0
    assert braked(brakes) == (0.0,) * 4
    brakes.after(1.0, pedals=(1.0, 1.0))
    assert brakes.value("left_brake_psi") == 0.0
    assert brakes.value("brake_source") == "none"


def test_with_pressure_from_a_pump_nothing_stored_is_used() -> None:
    brakes = stage()
    assert [apply(brakes) for _ in range(20)] == [1.0] * 20
    assert psi(brakes) == pytest.approx(FULL_PSI)
    assert supplied(brakes).drawn_l == pytest.approx(20 * 0.04)
    assert brakes.value("brake_source") == "supply"


def test_small_ones_draw_in_proportion_to_what_they_rise_by() -> None:
    brakes, drawn = stage(), []
    for pedals in ((0.5, 0.0), (0.5, 1.0), (0.75, 1.0), (0.25, 0.0), (0.25, 0.0)):
        brakes.after(1.0, pedals=pedals)
        drawn.append(supplied(brakes).drawn_l / 0.04)
    assert drawn == pytest.approx([0.25, 0.75, 0.875, 0.875, 0.875])
    start = -0.829270  # what the accumulator had from the reservoir at the very beginning
    assert supplied(brakes).returned_l == pytest.approx(start + 0.04 * 0.75, abs=1e-6)


def test_from_the_accumulator_while_that_is_higher() -> None:
    brakes = stage()
    brakes.after(1.0, **line_at(600.0))
    assert brakes.value("brake_source") == "accumulator"
    apply(brakes)
    assert supplied(brakes).drawn_l == 0.0
    assert psi(brakes) == pytest.approx(2427.8, abs=0.05)


def test_a_brake_presses_with_no_more_than_its_source_has() -> None:
    brakes = without_power(empty=True)
    brakes.after(1.0, has_pressure=True, **line_at(640.0))
    brakes.after(1.0, pedals=(1.0, 0.5))
    assert brakes.value("left_brake_psi") == pytest.approx(640.0)
    assert brakes.value("right_brake_psi") == pytest.approx(500.0)
    assert brakes.facts.side_fractions == (0.65, 0.5)


def test_a_line_on_its_way_is_seen_in_steps_and_never_above_it() -> None:
    brakes = without_power(empty=True)
    gas = Boyle(Line(), 1.0, 500.0)
    since_s, start_l = brakes.now_s, gas.volume_l(600.0)
    line = Boyle(Line(since_s, start_l, 0.01, 0.0, 0.6), 1.0, 500.0)
    brakes.after(0.0, has_pressure=True, pedals=(1.0, 1.0), line=line)
    seen = set()
    for _ in range(400):
        brakes.after(0.11)
        value, real = brakes.value("left_brake_psi"), line.at(brakes.now_s)
        assert value <= min(real, 1000.0) + 1e-4
        assert value > min(real, 1000.0) - 10.0 - 1e-4
        seen.add(value)
    assert len(seen) > 20
    assert max(seen) == 1000.0
    # Down again: never above it either.
    now_s = brakes.now_s
    line = Boyle(Line(now_s, gas.volume_l(1010.0), -0.01, 0.0, 0.6), 1.0, 500.0)
    brakes.after(0.0, line=line, parking_lever=0.0)
    brakes.fault("brake_accumulator", "empty")
    for _ in range(200):
        brakes.after(0.05)
        assert brakes.value("left_brake_psi") <= line.at(brakes.now_s) + 1e-4


@pytest.mark.parametrize("rate_hz", [0.05, 1.0, 9.0])
def test_it_fills_evenly_up_to_the_line_through_the_check_valve(rate_hz: float) -> None:
    """0.829270 l at 0.01 l/s: 82.927 s; one application after 53.276 s, three after 61.276 s."""
    brakes = without_power(empty=True)
    start_s = brakes.now_s
    brakes.at(start_s, has_pressure=True)
    for number in range(1, int(100 * rate_hz) + 1):
        passed_s = number / rate_hz
        brakes.at(start_s + passed_s)
        fluid_l = min(passed_s * 0.01, 0.829270)
        assert psi(brakes) == pytest.approx(514.7 / (1.0 - fluid_l) - 14.7, rel=1e-5)
        if abs(passed_s - 61.2756) > 0.01:
            assert ("brake_energy_low_amber" in brakes.lit) is (passed_s < 61.2756)
    assert left(brakes) == 8.0
    assert supplied(brakes).fill_l_per_s == 0.0
    assert brakes.loop.next_due_s == inf
    brakes.after(1.0, has_pressure=False)
    brakes.after(1000.0)
    assert psi(brakes) == pytest.approx(FULL_PSI), "no reverse flow"


def test_a_line_that_has_more_again_fills_on_and_one_with_less_stops_it() -> None:
    brakes = without_power(empty=True)
    brakes.after(1.0, has_pressure=True, **line_at(800.0))
    brakes.after(100.0)
    assert psi(brakes) == pytest.approx(800.0)
    brakes.after(1.0, **line_at(1200.0))
    assert supplied(brakes).fill_l_per_s == 0.01
    brakes.after(1.0, **line_at(700.0))
    assert supplied(brakes).fill_l_per_s == 0.0
    kept = psi(brakes)
    assert 800.0 < kept < 1200.0
    brakes.after(100.0)
    assert psi(brakes) == kept


def test_an_empty_one_holds_nothing_until_it_is_mended_and_filled() -> None:
    brakes = stage()
    brakes.fault("brake_accumulator", "empty")
    assert "brake_energy_low_amber" in brakes.lit
    assert psi(brakes) == 0.0
    brakes.after(1000.0)
    assert left(brakes) == 0.0, "it does not fill"
    assert supplied(brakes).returned_l == pytest.approx(0.0), "its fluid is in the reservoir"
    brakes.after(1.0, has_pressure=False)
    assert apply(brakes) == 0.0
    brakes.after(1.0, has_parking_pressure=False)
    brakes.fault("brake_accumulator", None)
    assert psi(brakes) == 0.0, "at its precharge: the line has nothing"
    brakes.after(1.0, has_pressure=True)
    brakes.after(90.0)
    assert left(brakes) == 8.0
    brakes.fault("brake_accumulator", "empty")
    brakes.fault("brake_accumulator", None)
    assert left(brakes) == 8.0, "mended it is charged to the line"


def test_pressure_that_comes_back_presses_what_the_pedals_ask() -> None:
    brakes = without_power(empty=True)
    brakes.after(1.0, pedals=(1.0, 0.5))
    assert braked(brakes) == (0.0,) * 4
    brakes.after(1.0, has_pressure=True)
    assert braked(brakes) == (1.0, 1.0, 0.5, 0.5)
    assert supplied(brakes).drawn_l == pytest.approx(0.03)


def test_found_with_pressure_it_is_charged_and_found_without_it_is_at_its_precharge() -> None:
    assert psi(stage()) == pytest.approx(FULL_PSI)
    assert psi(without_power(empty=True)) == 0.0


def test_a_wheel_that_is_let_go_gives_its_fluid_back_and_draws_again() -> None:
    """US Navy 1278BK1: anti-skid empties the accumulator; by hand a quarter of 0.04 l each time."""
    brakes = without_power()
    brakes.after(1.0, pedals=(1.0, 1.0))
    before_l = supplied(brakes).store.fluid_l.at(brakes.now_s)
    let_go = (WheelFacts(shut_off=True),)
    for number in range(1, 4):
        brakes.after(0.5, shut=let_go)
        assert brakes.value("left_outer_wheel_brake_psi") == 0.0
        assert brakes.value("left_inner_wheel_brake_psi") == 1000.0
        brakes.after(0.5, shut=())
        assert brakes.value("left_outer_wheel_brake_psi") == 1000.0
        now_l = supplied(brakes).store.fluid_l.at(brakes.now_s)
        assert before_l - now_l == pytest.approx(number * 0.01)


def test_the_emergency_brake_takes_no_fluid_and_presses_with_what_the_bottle_has() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 1.0), emergency_lever=1.0, air=Line(start=320.0))
    assert brakes.value("left_brake_psi") == 320.0
    assert supplied(brakes).drawn_l == 0.0
    brakes.after(0.0, air=Line(brakes.now_s, 320.0, -10.0, 0.0))
    for _ in range(40):
        brakes.after(0.7)
        air_psi = brakes.loop.world(0.0)[EmergencyFacts].air.at(brakes.now_s)
        assert air_psi - 10.0 - 1e-4 < brakes.value("left_brake_psi") <= air_psi + 1e-4
    brakes.after(10.0)
    assert brakes.value("left_brake_psi") == 0.0


def test_an_aircraft_without_stored_energy_has_no_caution_for_it() -> None:
    brakes = stage(accumulator=None)
    assert "brake_energy_low_amber" not in brakes.lit
    assert apply(brakes) == 1.0
    brakes.after(1.0, has_pressure=False)
    assert apply(brakes) == 0.0
    assert brakes.names == []


def test_a_fast_gas_gives_less() -> None:
    slow, fast = (
        without_power(),
        without_power(accumulator={**NUMBERS["accumulator"], "gas_exponent": 1.4}),
    )
    assert psi(slow) == pytest.approx(psi(fast)), "charged slowly"
    apply(slow)
    apply(fast)
    assert psi(fast) < psi(slow)
    assert left(fast) < left(slow)


def test_applications_change_when_the_fluid_of_the_hydraulics_passes_a_mark() -> None:
    """By the head: 0.492756 l at full pressure, 0.04 l each; two are left until 0.572756 l.

    From 0.6 l at 0.01 l/s down that takes 2.7244 s; up to the third, 0.612756 l, 1.2756 s.
    """
    parameters = BrakesParameters.model_validate(NUMBERS)
    gas = own_gas(parameters, FULL_PSI)
    assert gas is not None
    store = Store(gas, parameters)
    at = [store.changes_s(Line(10.0, 0.6, rate, 0.0), 10.0) for rate in (-0.01, 0.01, 0.0)]
    assert at[:2] == pytest.approx([12.7244, 11.2756], abs=1e-3)
    assert at[2] == inf
    assert store.changes_s(Line(10.0, 0.2, -0.01, 0.0), 10.0) == inf, "none is left"


def test_the_shown_pressure_is_a_curve_while_it_changes() -> None:
    brakes = without_power(empty=True)
    values = [one for system in brakes.loop.systems for one in system.values]
    (shown,) = (one for one in values if one.name == "brake_accumulator_psi")
    assert shown.curve is not None
    assert shown.curve(brakes.loop.world(brakes.now_s)) is None
    brakes.after(1.0, has_pressure=True, **line_at(2000.0))
    assert shown.curve(brakes.loop.world(brakes.now_s)) is not None
