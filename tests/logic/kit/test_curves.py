"""Numbers as functions of time; three of each worked out by hand."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.curves import Boyle, Line, turns


def test_a_line_by_hand() -> None:
    """From 10 at 2 s, -3 a second, not below 1: 7 at 3 s, 1 at 5 s, 1 ever after."""
    line = Line(2.0, 10.0, -3.0, low=1.0)
    assert [line.at(2.0), line.at(3.0), line.at(5.0), line.at(60.0)] == [10.0, 7.0, 1.0, 1.0]
    assert line.reaches(4.0, 2.0) == 4.0
    assert line.reaches(4.0, 4.0) == inf, "strictly after"
    assert line.reaches(0.5, 2.0) == inf, "below its end"
    assert Line(0.0, 5.0).reaches(5.0, 0.0) == inf, "it stands still"


def test_a_line_goes_on_from_where_it_is() -> None:
    line = Line(0.0, 4.0, 2.0)
    assert line.bent(3.0, -1.0) == Line(3.0, 10.0, -1.0)
    assert line.bent(3.0, 2.0) is line


def test_boyle_by_hand() -> None:
    """1 l of gas at 1014.7 psia: 0.5 l of fluid make 2029.4, less 14.7; none is no pressure."""
    gas = Boyle(Line(0.0, 0.0, 0.25, 0.0, 0.75), 1.0, 1000.0, 3500.0)
    assert gas.at(0.0) == 0.0
    assert gas.at(2.0) == pytest.approx(2014.7)
    assert gas.at(3.0) == 3500.0, "never more than the relief valve allows"
    assert gas.volume_l(2014.7) == pytest.approx(0.5)
    assert gas.volume_l(900.0) == 0.0
    assert gas.reaches(2014.7, 0.0) == pytest.approx(2.0)


@given(
    st.floats(0.0, 1e5),
    st.floats(-500.0, 500.0).filter(lambda rate: abs(rate) > 1e-3),
    st.floats(0.0, 3000.0),
    st.floats(0.0, 3000.0),
    st.sampled_from(["above", "at_least"]),
)
def test_law_where_a_truth_turns_it_has_turned(
    since_s: float, rate: float, start: float, level: float, comparison: str
) -> None:
    """At the time given the comparison sees the new side, within a millionth of a second."""
    line = Line(since_s, start, rate)

    def truth(value: float) -> bool:
        return value > level if comparison == "above" else value >= level

    when_s = turns(line, level, since_s, truth)
    if when_s == inf:
        reached = line.reaches(level, since_s)
        assert reached == inf or truth(line.at(reached + 1e-3)) is truth(line.at(since_s))
        return
    assert truth(line.at(when_s)) is not truth(line.at(since_s))
    assert when_s - line.reaches(level, since_s) <= 1e-6


def test_a_line_that_touches_a_level_does_not_turn() -> None:
    line = Line(0.0, 5.0, -1.0, low=2.0)
    assert turns(line, 2.0, 0.0, lambda value: value < 2.0) == inf
    assert turns(line, 2.0, 0.0, lambda value: value <= 2.0) == pytest.approx(3.0)


@given(st.floats(-4.0, 4.0).filter(lambda rate: abs(rate) > 1e-2), st.integers(-50, 50))
def test_law_a_look_at_the_crossing_itself_does_not_lose_it(rate: float, level: int) -> None:
    """By hand: 0 plus 1 a second is above 3 just after 3 s, also for who looks at 3 s exactly."""
    line = Line(1.0, 0.25, rate)
    tests: list[Callable[[float], bool]] = [lambda one: one > level, lambda one: one >= level]
    for test in tests:
        when_s = turns(line, level, 1.0, test)
        if when_s == inf:
            continue
        reached_s = line.reaches(level, 1.0)
        again_s = turns(line, level, reached_s, test)
        turned = test(line.at(reached_s)) is not test(line.at(1.0))
        assert again_s == inf if turned else reached_s < again_s <= reached_s + 1e-6
    assert 3.0 < turns(Line(0.0, 0.0, 1.0), 3.0, 3.0, lambda value: value > 3.0) < 3.0 + 1e-9
