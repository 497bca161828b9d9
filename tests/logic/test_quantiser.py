"""A number in whole steps, as the needle of a gauge moves: only once a whole step was made."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Quantiser

PSI = Handle[float]("psi")


def test_unknown_until_known_and_again_when_lost() -> None:
    steps, seen, step = Quantiser(PSI, 10.0), list[int | None](), None
    for value in (None, 0.0, 0.0, None, None, 97.0):
        step = steps.take(value, step)
        seen.append(step)
    assert seen == [None, 0, 0, None, None, 10]


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
    steps = Quantiser(PSI, 10.0)
    step = steps.take(value, 10)
    assert step is not None
    assert step * 10.0 == shows
    low, high = steps.band(10)
    assert (low < value <= high) is (shows == 100.0)


@given(st.lists(st.floats(0.0, 4000.0), min_size=2, max_size=20))
def test_never_a_whole_step_wrong_and_at_rest_under_noise(values: list[float]) -> None:
    steps, step = Quantiser(PSI, 50.0), None
    for value in values:
        step = steps.take(value, step)
        assert step is not None
        shown = step * 50.0
        assert abs(shown - value) < 50.0
        moved = [steps.take(shown + noise, step) != step for noise in (49.9, -49.9, 0.0, 20.0)]
        assert moved == [False] * 4
