"""A part between two ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.gear.travel import AT_0, AT_1, set_off, stop


def test_it_goes_evenly_and_says_when_it_arrives() -> None:
    travel, due_s = set_off(AT_0, 10.0, 1.0, 4.0)
    assert due_s == 14.0
    assert [travel.at(now_s) for now_s in (10.0, 11.0, 14.0, 99.0)] == [0.0, 0.25, 1.0, 1.0]
    travel, due_s = set_off(travel, 12.0, 0.0, 8.0)
    assert due_s == 16.0
    assert [travel.at(now_s) for now_s in (12.0, 14.0, 16.0, 99.0)] == [0.5, 0.25, 0.0, 0.0]


def test_it_stands_where_it_was_stopped() -> None:
    travel = stop(set_off(AT_1, 0.0, 0.0, 4.0)[0], 1.0)
    assert travel.at(50.0) == 0.75
    assert set_off(travel, 60.0, 1.0, 2.0)[1] == 60.5


def test_at_an_end_it_stays_there() -> None:
    assert (AT_0.at(99.0), AT_1.at(99.0)) == (0.0, 1.0)


@given(st.lists(st.tuples(st.floats(0.01, 5.0), st.sampled_from([0.0, 1.0, None]))))
def test_law_it_never_jumps_and_never_leaves_its_ends(
    moves: list[tuple[float, float | None]],
) -> None:
    travel, now_s, before = AT_0, 0.0, 0.0
    for gap_s, end in moves:
        now_s += gap_s
        there = travel.at(now_s)
        assert 0.0 <= there <= 1.0
        assert abs(there - before) <= gap_s / 2.0 + 1e-9
        travel = stop(travel, now_s) if end is None else set_off(travel, now_s, end, 2.0)[0]
        before = travel.at(now_s)
        assert before == pytest.approx(there)
