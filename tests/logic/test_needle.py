"""The needle of a gauge."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.needle import Needle


def test_unknown_until_told_and_again_when_lost() -> None:
    needle = Needle(10.0)
    seen: list[tuple[bool, float | None]] = [(False, needle.value)]
    for value in (None, 0.0, 0.0, None, None, 97.0):
        seen.append((needle.take(value), needle.value))
    assert seen == [
        (False, None),
        (False, None),
        (True, 0.0),
        (False, 0.0),
        (True, None),
        (False, None),
        (True, 100.0),
    ]


@pytest.mark.parametrize(
    ("value", "shows"),
    [
        (100.0, 100.0),
        (109.9, 100.0),
        (110.0, 110.0),
        (110.0 - 1e-9, 110.0),
        (119.0, 110.0),
        (125.0, 120.0),
        (90.1, 100.0),
        (90.0, 90.0),
        (90.0 + 1e-9, 90.0),
        (81.0, 90.0),
        (75.0, 80.0),
    ],
)
def test_shows_the_last_step_that_was_reached(value: float, shows: float) -> None:
    needle = Needle(10.0)
    needle.take(100.0)
    assert needle.take(value) is (shows != 100.0)
    assert needle.value == shows


@given(st.lists(st.floats(0.0, 4000.0), min_size=2, max_size=20))
def test_never_a_whole_step_wrong_and_at_rest_under_noise(values: list[float]) -> None:
    needle = Needle(50.0)
    for value in values:
        needle.take(value)
        shown = needle.value
        assert shown is not None
        assert abs(shown - value) < 50.0
        moved = [needle.take(shown + noise) for noise in (49.9, -49.9, 0.0, 20.0)]
        assert moved == [False] * 4
