"""Thresholds and quantisers: one hysteresis for the package."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Quantiser, Threshold, below, follow_steps

NUMBER: Handle[float] = Handle("number")
NUMBERS = st.none() | st.sampled_from([99.9, 100.0, 100.1, 102.9, 103.0, 103.1, -5.0, 400.0])


@pytest.mark.parametrize(
    ("number", "before", "now"),
    [
        # By hand, on = 103, off = 100: above 103 True; at or below 100 False; between: as before.
        (103.0, False, False),
        (103.1, False, True),
        (100.1, True, True),
        (100.0, True, False),
        (101.0, None, False),
        (None, True, None),
    ],
)
def test_a_threshold_has_a_hysteresis(
    number: float | None, before: bool | None, now: bool | None
) -> None:
    assert Threshold(NUMBER, 103.0, 100.0).take(number, before) is now


def test_at_the_limit_too() -> None:
    """``below`` makes "at or above" of "above"."""
    at_least = Threshold(NUMBER, below(100.0))
    assert at_least.take(100.0, None) is True
    assert at_least.take(below(100.0), None) is False


@given(st.lists(NUMBERS, max_size=20))
def test_law_within_its_band_a_threshold_keeps_its_side(numbers: list[float | None]) -> None:
    threshold = Threshold(NUMBER, 103.0, 100.0)
    side: bool | None = None
    for before, number in pairwise([None, *numbers]):
        now = threshold.take(number, side)
        low, high = threshold.band(side)
        if before is not None and number is not None and low < number <= high:
            assert now is side
        side = now


@pytest.mark.parametrize(
    ("steps", "before", "now"),
    [
        (3.4, None, 3),
        (3.6, None, 4),
        (3.9, 3, 3),
        (4.0, 3, 4),
        (2.1, 3, 3),
        (2.0, 3, 2),
        (7.5, 3, 7),
    ],
)
def test_a_step_is_made_only_when_a_whole_one_was(
    steps: float, before: int | None, now: int
) -> None:
    assert follow_steps(steps, before) == now


def test_a_quantiser_counts_in_steps_of_its_size() -> None:
    quantiser = Quantiser(NUMBER, 10.0)
    assert quantiser.take(124.0, None) == 12
    assert quantiser.take(129.9, 12) == 12
    assert quantiser.take(130.0, 12) == 13
    assert quantiser.take(None, 12) is None
    low, high = quantiser.band(12)
    assert 110.0 < low < 110.1
    assert 129.9 < high < 130.0
