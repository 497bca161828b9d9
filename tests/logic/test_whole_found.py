"""What random runs of whole aircraft have found, each as a short story of its own."""

from __future__ import annotations

from math import nan

import pytest

from panelbridge.logic.inventory import faults_of
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, began


def test_a_dimmer_that_is_not_a_number_is_unknown() -> None:
    run = began(KINDS["jet"], "parked")
    run.move(0.1, Move({"dimmer": None}))
    unknown = run.result.outputs.lamps
    run.move(0.1, Move({"dimmer": nan}))
    assert run.result.outputs.lamps == unknown


@pytest.mark.parametrize("kind", ["jet", "tail_wheel"])
def test_legs_of_the_feed_can_be_broken_by_name(kind: str) -> None:
    run = began(fed(kind), "parked")
    for leg in run.parameters.legs:
        assert "left_green" in run.lit
        for fault in faults_of(run.parameters)[leg.name]:
            run.move(0.1, Move(fault=(leg.name, fault)))
            assert (f"{leg.name}_green" in run.lit) is (fault == "down_switch_stuck")
        run.move(0.1, Move(fault=(leg.name, None)))


def test_the_gauges_of_fed_brakes_follow_the_feed_though_nothing_else_changes() -> None:
    run = began(fed("jet"), "parked")
    run.move(1.0, Move({}, {"brake_pressure_psi": (30.0, 900.0)}))
    assert [run.result.outputs.gauges[f"{side}_brake"] for side in ("left", "right")] == [30, 900]
    run.move(1.0, Move({}, {"brake_pressure_psi": (None, 44.0)}))
    assert "left_brake" not in run.result.outputs.gauges
    assert run.result.outputs.gauges["right_brake"] == 40
