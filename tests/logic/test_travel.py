"""A part between two ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.travel import Travel


def test_it_goes_evenly_and_says_when_it_arrives() -> None:
    travel = Travel(0.0)
    assert travel.go(10.0, 1.0, 4.0) == 14.0
    assert [travel.at(now_s) for now_s in (10.0, 11.0, 14.0, 99.0)] == [0.0, 0.25, 1.0, 1.0]
    assert travel.go(12.0, 0.0, 8.0) == 16.0
    assert [travel.at(now_s) for now_s in (12.0, 14.0, 16.0, 99.0)] == [0.5, 0.25, 0.0, 0.0]


def test_it_stands_where_it_was_stopped() -> None:
    travel = Travel(1.0)
    travel.go(0.0, 0.0, 4.0)
    travel.stop(1.0)
    assert travel.at(50.0) == 0.75
    assert travel.go(60.0, 1.0, 2.0) == 60.5


@pytest.mark.parametrize("fraction", [0.0, 1.0])
def test_put_at_an_end_it_stays_there(fraction: float) -> None:
    travel = Travel(0.5)
    travel.go(0.0, 1.0 - fraction, 4.0)
    travel.put(fraction)
    assert travel.at(99.0) == fraction


@given(st.lists(st.tuples(st.floats(0.01, 5.0), st.sampled_from([0.0, 1.0, None]))))
def test_law_it_never_jumps_and_never_leaves_its_ends(
    moves: list[tuple[float, float | None]],
) -> None:
    travel, now_s, before = Travel(0.0), 0.0, 0.0
    for gap_s, end in moves:
        now_s += gap_s
        there = travel.at(now_s)
        assert 0.0 <= there <= 1.0
        assert abs(there - before) <= gap_s / 2.0 + 1e-9
        if end is None:
            travel.stop(now_s)
        else:
            travel.go(now_s, end, 2.0)
        before = travel.at(now_s)
        assert before == pytest.approx(there)
