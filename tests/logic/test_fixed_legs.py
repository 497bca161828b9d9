"""Legs that never move and have a squat switch: a tail wheel.

What must hold: such a leg has no lamp, lock or fault; weight on it counts as weight on any other;
moving it is asked of nobody.
"""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.inventory import faults_of, lamps_of, vocabulary_of
from panelbridge.logic.systems import misfits_of
from panelbridge.signals import GearPosition
from tests.logic.build import changed, flying_gear_down, switches, twin

TAIL = twin(fixed_legs=[{"name": "tail"}])


def test_it_has_a_squat_switch_and_nothing_else() -> None:
    assert "strut_tail" in values_of(TAIL)
    names = [*lamps_of(TAIL), *faults_of(TAIL), *vocabulary_of(TAIL)]
    assert [name for name in names if "tail" in name] == ["strut_tail"]


@pytest.mark.parametrize("tail", [True, False])
def test_weight_on_it_alone_keeps_the_gear_down(tail: bool) -> None:
    bench = flying_gear_down(TAIL)
    air = changed(bench.aircraft, strut_compressed=(False, False, False, tail))
    bench.after(5.0, aircraft=air)
    bench.after(1.0, switches("up"))
    assert bench.result.commands.gear is (GearPosition.DOWN if tail else GearPosition.UP)


def test_it_steers_and_locks_as_one_that_is_down_and_is_no_leg_of_the_order() -> None:
    uses = twin(
        fixed_legs=[{"name": "tail"}],
        steering={"steering_leg": "tail"},
        handle_lock={"leg": "tail"},
    )
    assert list(misfits_of(uses)) == []
    moved = twin(fixed_legs=[{"name": "tail"}], gear_order={"extend": [["tail"]]})
    assert [one.path for one in misfits_of(moved)] == [("gear_order", "extend", 0, 0)]


def test_its_name_is_its_own() -> None:
    with pytest.raises(ValidationError, match="two legs are named 'nose'"):
        twin(fixed_legs=[{"name": "nose"}])
