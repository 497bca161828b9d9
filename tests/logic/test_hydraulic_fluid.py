"""Where the fluid is."""

from __future__ import annotations

from math import inf

import pytest

from panelbridge.logic.hydraulic_fluid import Flows, HydraulicFluid


def ten_litres() -> HydraulicFluid:
    return HydraulicFluid(
        total_l=10.0,
        nominal_l=2.0,
        relief_l=3.0,
        accumulator_levels=(1.0,),
        reservoir_levels=(4.0,),
    )


def run(fluid: HydraulicFluid, until_s: float) -> list[tuple[float, float, float]]:
    """Go on; for each crossing its time and what was in accumulator and reservoir then."""
    crossed = []
    while fluid.crossing_s <= until_s:
        at_s = fluid.crossing_s
        fluid.cross()
        crossed.append((at_s, fluid.accumulator_l, fluid.reservoir_l))
    fluid.advance(until_s)
    return crossed


def test_at_rest_nothing_is_ever_crossed() -> None:
    fluid = ten_litres()
    assert fluid.at(1000.0) == (0.0, 10.0, 0.0)
    assert fluid.crossing_s == inf
    assert not fluid.is_empty


def test_levels_are_crossed_in_order_exactly_on_the_level() -> None:
    fluid = ten_litres()
    fluid.set_flows(Flows(compensated=0.3, constant=0.0, returned=0.1, lost=0.0))
    crossed = run(fluid, 100.0)
    assert [down_l for _, _, down_l in crossed] == pytest.approx([9.0, 8.0])
    assert [in_l for _, in_l, _ in crossed] == [1.0, 2.0]
    assert [at_s for at_s, _, _ in crossed] == pytest.approx([5.0, 10.0])
    assert fluid.at(100.0)[0] == 2.0
    assert fluid.crossing_s == inf


def test_compensated_supplies_give_what_is_taken_and_constant_ones_go_on_to_relief() -> None:
    fluid = ten_litres()
    fluid.fill(0.0)
    fluid.set_flows(Flows(compensated=0.3, constant=0.1, returned=0.2, lost=0.0))
    assert run(fluid, 50.0) == []
    assert fluid.at(50.0) == (2.0, 8.0, 0.0)
    fluid.set_flows(Flows(compensated=0.3, constant=0.3, returned=0.2, lost=0.0))
    assert [in_l for _, in_l, _ in run(fluid, 100.0)] == [3.0]
    assert fluid.at(100.0)[0] == 3.0
    assert fluid.at(100.0) == pytest.approx((3.0, 7.0, 0.0))
    # Above nominal compensated supplies give nothing.
    fluid.set_flows(Flows(compensated=0.3, constant=0.1, returned=0.2, lost=0.0))
    (crossed,) = run(fluid, 200.0)
    assert crossed == pytest.approx((110.0, 2.0, 8.0))
    assert crossed[1] == 2.0
    fluid.set_flows(Flows(compensated=0.3, constant=0.0, returned=0.5, lost=0.0))
    below = run(fluid, 300.0)
    assert [at_s for at_s, _, _ in below] == pytest.approx([205.0, 210.0])
    assert [in_l for _, in_l, _ in below] == [1.0, 0.0]
    assert fluid.at(300.0) == pytest.approx((0.0, 10.0, 0.0))


def test_run_dry_a_pump_delivers_again_once_it_is_primed() -> None:
    fluid = ten_litres()
    fluid.fill(0.0)
    fluid.set_flows(Flows(compensated=1.0, constant=0.0, returned=0.0, lost=0.5))
    crossed = run(fluid, 16.0)
    assert [down_l for _, _, down_l in crossed] == [4.0, 0.1, 0.0]
    assert [at_s for at_s, _, _ in crossed] == pytest.approx([8.0, 15.8, 16.0])
    assert [in_l for _, in_l, _ in crossed] == [2.0, 2.0, 2.0]
    dry = fluid.is_empty
    assert dry
    fluid.set_flows(Flows(compensated=1.0, constant=1.0, returned=0.05, lost=0.0))
    assert fluid.crossing_s == pytest.approx(18.0), "0.1 l of 10 l at 0.05 l/s"
    fluid.cross()
    assert fluid.reservoir_l == 0.1
    primed = not fluid.is_empty
    assert primed
    fluid.advance(18.05)
    assert fluid.accumulator_l == pytest.approx(1.9 + 0.05 * (2.0 - 0.05))


def test_without_store_what_comes_in_is_shared_out() -> None:
    fluid = ten_litres()
    fluid.set_flows(Flows(compensated=0.0, constant=0.2, returned=0.1, lost=0.3))
    assert fluid.at(10.0) == pytest.approx((0.0, 10.0 - 10 * 0.15, 1.5))
    fluid.refill(10.0)
    assert fluid.at(10.0) == (0.0, 10.0, 0.0)


def test_a_stroke_gets_no_more_than_there_is_and_filling_no_more_than_the_reservoir_has() -> None:
    fluid = ten_litres()
    fluid.fill(0.0)
    assert fluid.take(0.0, 0.5) == 0.5
    assert fluid.at(0.0) == (1.5, 8.5, 0.0)
    fluid.set_flows(Flows(compensated=0.5, constant=0.0, returned=0.0, lost=0.5))
    run(fluid, 16.5)
    fluid.fill(16.5)
    assert fluid.at(16.5) == pytest.approx((1.75, 0.0, 8.25))
    assert fluid.take(16.5, 5.0) == pytest.approx(1.75)
    assert fluid.at(16.5)[0] == 0.0
    fluid = ten_litres()
    fluid.set_flows(Flows(compensated=0.0, constant=1.0, returned=0.0, lost=0.0))
    run(fluid, 2.5)
    fluid.fill(2.5)
    assert fluid.at(2.5)[0] == 2.5, "more than nominal is left as it is"
