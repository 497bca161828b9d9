"""When numbers that change by themselves come past a limit, or meet.

By hand: from 0 at 0 s with 2/s a number is on 10 at 5 s; beside one that falls from 0.1 with 3/s
it is above that after 0.02 s; within one look, 0.02 s, a meeting is found to the last digit.
"""

from __future__ import annotations

from math import inf
from operator import itemgetter

import pytest

from panelbridge.logic.kit.condition_times import LOOK_S, turn_s
from panelbridge.logic.kit.conditions import SAME, Compare, Comparison
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import World


def moving(name: str, line: Line) -> Signal:
    return Signal(
        *(name, "number", name),
        lambda world: line.at(world.now_s),
        curve=lambda _: line if line.rate else None,
    )


WORLD = World({}, 0.0)
RISING = moving("rising", Line(0.0, 0.0, 2.0))


@pytest.mark.parametrize(
    ("comparison", "at_s"),
    [
        ("at_least", (10.0 - SAME) / 2.0),
        ("above", (10.0 + SAME) / 2.0),
        ("is", 5.0),
    ],
)
def test_a_limit_by_hand(comparison: str, at_s: float) -> None:
    found = turn_s(WORLD, RISING, Compare("rising", Comparison(comparison), 10.0))
    assert found == pytest.approx(at_s, abs=SAME / 8)


@pytest.mark.parametrize("start", [0.03, 0.05, 0.0999])
def test_two_that_meet_within_a_look(start: float) -> None:
    falling = moving("falling", Line(0.0, start, -3.0))
    compare = Compare("rising", Comparison.ABOVE, None, "falling")
    found = turn_s(WORLD, RISING, compare, falling)
    assert 0.0 < found <= LOOK_S
    assert found == pytest.approx(start / 5.0, abs=1e-8)


def test_two_that_do_not_meet_in_a_look_are_looked_at_again() -> None:
    falling = moving("falling", Line(0.0, 1.0, -3.0))
    compare = Compare("rising", Comparison.ABOVE, None, "falling")
    assert turn_s(WORLD, RISING, compare, falling) == LOOK_S


def test_one_that_moves_and_one_that_stands_by_hand() -> None:
    cell = Handle[float]("still")
    still, world = Signal("still", "number", "still", itemgetter(cell)), World({cell: 10.0}, 0.0)
    above = turn_s(world, RISING, Compare("rising", Comparison.ABOVE, None, "still"), still)
    below = turn_s(world, still, Compare("still", Comparison.BELOW, None, "rising"), RISING)
    assert above == below == pytest.approx(5.0)
    nowhere = moving("nowhere", Line(0.0, 1.0))
    assert turn_s(world, nowhere, Compare("nowhere", Comparison.ABOVE, None, "still"), still) == inf
