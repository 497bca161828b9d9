"""Where the fluid is."""

from __future__ import annotations

from math import inf, nextafter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.hydraulics.fluid import Flows, Fluid, Plumbing, Volume
from panelbridge.logic.kit.curves import Line

NO_FLOW = Flows()


class Tank:
    """Ten litres of fluid, and what flows."""

    def __init__(self) -> None:
        self.plumbing = Plumbing(
            total_l=10.0,
            nominal_l=2.0,
            relief_l=3.0,
            accumulator_marks=(1.0,),
            reservoir_marks=(4.0,),
        )
        self.fluid, self.flows = self.plumbing.at_rest(), NO_FLOW

    def at(self, now_s: float) -> tuple[float, float, float]:
        """In the accumulator, in the reservoir, lost."""
        fluid = self.fluid
        return fluid.accumulator.at(now_s), fluid.reservoir.at(now_s), fluid.lost_l.at(now_s)

    def flow(self, now_s: float, flows: Flows) -> None:
        """From now on these flows."""
        self.flows = flows
        self.put(now_s, self.fluid)

    def put(self, now_s: float, fluid: Fluid) -> None:
        """Now there is this fluid."""
        fluid = self.plumbing.reached(fluid, now_s)
        self.fluid = self.plumbing.flowing(fluid, now_s, self.flows)

    def fill(self, now_s: float) -> None:
        """Fill the accumulator."""
        self.put(now_s, self.plumbing.filled(self.fluid, now_s))

    def run(self, until_s: float) -> list[tuple[float, float, float]]:
        """Go on; for each mark its time and what was in accumulator and reservoir then."""
        crossed = []
        while self.fluid.mark_s <= until_s:
            at_s = self.fluid.mark_s
            crossed.append((at_s, *self.at(at_s)[:2]))
            self.put(at_s, self.fluid)
        return crossed


def test_at_rest_nothing_is_ever_crossed() -> None:
    tank = Tank()
    assert tank.at(1000.0) == (0.0, 10.0, 0.0)
    assert tank.fluid.mark_s == inf
    assert not tank.fluid.is_empty


def test_levels_are_crossed_in_order_exactly_on_the_level() -> None:
    tank = Tank()
    tank.flow(0.0, Flows(compensated=0.3, constant=0.0, returned=0.1, lost=0.0))
    crossed = tank.run(100.0)
    assert [down_l for _, _, down_l in crossed] == pytest.approx([9.0, 8.0])
    assert [in_l for _, in_l, _ in crossed] == [1.0, 2.0]
    assert [at_s for at_s, _, _ in crossed] == pytest.approx([5.0, 10.0])
    assert tank.at(100.0)[0] == 2.0
    assert tank.fluid.mark_s == inf


def test_compensated_supplies_give_what_is_taken_and_constant_ones_go_on_to_relief() -> None:
    tank = Tank()
    tank.fill(0.0)
    tank.flow(0.0, Flows(compensated=0.3, constant=0.1, returned=0.2, lost=0.0))
    assert tank.run(50.0) == []
    assert tank.at(50.0) == (2.0, 8.0, 0.0)
    tank.flow(50.0, Flows(compensated=0.3, constant=0.3, returned=0.2, lost=0.0))
    assert [in_l for _, in_l, _ in tank.run(100.0)] == [3.0]
    assert tank.at(100.0)[0] == 3.0
    assert tank.at(100.0) == pytest.approx((3.0, 7.0, 0.0))
    # Above nominal compensated supplies give nothing.
    tank.flow(100.0, Flows(compensated=0.3, constant=0.1, returned=0.2, lost=0.0))
    (crossed,) = tank.run(200.0)
    assert crossed == pytest.approx((110.0, 2.0, 8.0))
    assert crossed[1] == 2.0
    tank.flow(200.0, Flows(compensated=0.3, constant=0.0, returned=0.5, lost=0.0))
    below = tank.run(300.0)
    assert [at_s for at_s, _, _ in below] == pytest.approx([205.0, 210.0])
    assert [in_l for _, in_l, _ in below] == [1.0, 0.0]
    assert tank.at(300.0) == pytest.approx((0.0, 10.0, 0.0))


def test_run_dry_a_pump_delivers_again_once_it_is_primed() -> None:
    tank = Tank()
    tank.fill(0.0)
    tank.flow(0.0, Flows(compensated=1.0, constant=0.0, returned=0.0, lost=0.5))
    crossed = tank.run(16.0)
    assert [down_l for _, _, down_l in crossed] == [4.0, 0.1, 0.0]
    assert [at_s for at_s, _, _ in crossed] == pytest.approx([8.0, 15.8, 16.0])
    assert [in_l for _, in_l, _ in crossed] == [2.0, 2.0, 2.0]
    dry = tank.fluid.is_empty
    assert dry
    tank.flow(16.0, Flows(compensated=1.0, constant=1.0, returned=0.05, lost=0.0))
    assert tank.fluid.mark_s == pytest.approx(18.0), "0.1 l of 10 l at 0.05 l/s"
    tank.run(tank.fluid.mark_s)
    assert tank.fluid.reservoir.last_l == 0.1
    primed = not tank.fluid.is_empty
    assert primed
    assert tank.at(18.05)[0] == pytest.approx(1.9 + 0.05 * (2.0 - 0.05))


def test_without_store_what_comes_in_is_shared_out() -> None:
    tank = Tank()
    tank.flow(0.0, Flows(compensated=0.0, constant=0.2, returned=0.1, lost=0.3))
    assert tank.at(10.0) == pytest.approx((0.0, 10.0 - 10 * 0.15, 1.5))
    tank.flow(10.0, NO_FLOW)
    tank.put(10.0, tank.plumbing.refilled(tank.fluid, 10.0))
    assert tank.at(10.0) == (0.0, 10.0, 0.0)


def test_filling_takes_no_more_than_the_reservoir_has() -> None:
    tank = Tank()
    tank.fill(0.0)
    tank.flow(0.0, Flows(returned=0.5))
    tank.run(1.0)
    assert tank.at(1.0) == (1.5, 8.5, 0.0)
    tank.flow(1.0, Flows(compensated=0.5, constant=0.0, returned=0.0, lost=0.5))
    tank.run(17.5)
    tank.fill(17.5)
    assert tank.at(17.5) == pytest.approx((1.75, 0.0, 8.25))
    tank = Tank()
    tank.flow(0.0, Flows(compensated=0.0, constant=1.0, returned=0.0, lost=0.0))
    tank.run(2.5)
    tank.fill(2.5)
    assert tank.at(2.5)[0] == 2.5, "more than nominal is left as it is"


def test_a_look_that_bends_nothing_changes_nothing() -> None:
    tank = Tank()
    flows = Flows(constant=0.3, returned=0.1, lost=0.05)
    tank.flow(0.0, flows)
    for now_s in (0.0, 1.7, 3.3):
        before = tank.fluid
        tank.flow(now_s, flows)
        assert tank.fluid is before
    mark_s = tank.fluid.mark_s
    tank.flow(mark_s, flows)
    assert tank.fluid.accumulator.line is before.accumulator.line, "a mark is no bend"
    assert tank.fluid.accumulator.last_l == 1.0
    assert tank.fluid.mark_s > mark_s


@given(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0), st.floats(1e-3, 1e6), st.floats(0.001, 10.0))
def test_law_between_two_marks_a_volume_is_on_neither(
    start_l: float, gap_l: float, since_s: float, rate: float
) -> None:
    """Whatever rounding says: so a limit is crossed at its mark and nowhere else."""
    marks = sorted({start_l, start_l + gap_l})
    volume = Volume(Line(since_s, marks[0]), marks[0]).going(since_s, rate, marks)
    assert volume.at(volume.mark_s) == volume.mark_l
    for now_s in (since_s, nextafter(volume.mark_s, -inf), 0.5 * (since_s + volume.mark_s)):
        if since_s <= now_s < volume.mark_s < inf:
            assert marks[0] <= volume.at(now_s) < volume.mark_l
    down = Volume(Line(since_s, marks[-1]), marks[-1]).going(since_s, -rate, marks)
    assert down.at(down.mark_s) == down.mark_l
    if down.mark_s < inf:
        assert marks[-1] >= down.at(nextafter(down.mark_s, -inf)) >= marks[0]
