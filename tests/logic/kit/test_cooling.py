"""A temperature as a function of time; worked out by hand."""

from __future__ import annotations

from math import e, exp, inf, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.cooling import Cooling
from panelbridge.logic.kit.curves import turns


def test_one_body_by_hand() -> None:
    """400 over 15 with a constant of 20: 415, 15 + 400/e at 20, 55 when a tenth is left."""
    body = Cooling(5.0, 15.0, 400.0, 20.0)
    assert [body.at(0.0), body.at(5.0)] == [415.0, 415.0]
    assert body.at(25.0) == pytest.approx(15.0 + 400.0 / e)
    assert body.at(inf) == 15.0
    assert body.turns_s == -inf
    assert body.reaches(55.0, 0.0) == pytest.approx(5.0 + 20.0 * log(10.0))
    assert body.reaches(55.0, 60.0) == inf
    assert body.reaches(415.1, 0.0) == inf
    assert body.reaches(15.0, 0.0) == inf, "it never quite gets there"


def test_a_body_that_another_heats_goes_through_a_peak() -> None:
    """Constants 20 and 45: the peak is ln(45/20)/(1/20 - 1/45) = 29.19 after the beginning."""
    body = Cooling(100.0, 0.0, -80.0, 20.0, 80.0, 45.0)
    peak_s = 100.0 + log(45.0 / 20.0) / (1.0 / 20.0 - 1.0 / 45.0)
    assert body.turns_s == pytest.approx(peak_s)
    top = body.at(body.turns_s)
    assert top == pytest.approx(100.0 * exp(-29.1935 / 20.0), rel=1e-4), "as hot as its heater"
    up_s, down_s = body.reaches(10.0, 0.0), body.reaches(10.0, peak_s)
    assert 100.0 < up_s < peak_s < down_s
    assert [body.at(up_s), body.at(down_s)] == pytest.approx([10.0] * 2)
    assert body.reaches(10.0, up_s) == down_s, "the next one"
    assert body.reaches(top + 0.01, 0.0) == inf
    assert body.reaches(top, 0.0) == body.turns_s, "it touches its peak"
    assert Cooling(0.0, 0.0, -1.0, 20.0, 80.0, 45.0).turns_s == -inf, "its peak is over"


@given(
    st.floats(0.0, 1e5),
    st.floats(1.0, 1000.0),
    st.floats(0.0, 1000.0),
    st.floats(60.0, 3000.0),
    st.floats(1.1, 5.0),
    st.floats(0.0, 1000.0),
)
def test_law_where_a_truth_turns_it_has_turned(
    since_s: float, hot: float, warm: float, fast_s: float, ratio: float, level: float
) -> None:
    """And it does not turn before; below its rest and above its peak it never does."""
    slow_s = fast_s * ratio
    driven = hot * fast_s / (fast_s - slow_s)
    body = Cooling(since_s, 0.0, driven, fast_s, warm - driven, slow_s)
    top = max(body.at(body.turns_s), warm)
    assert top <= max(hot, warm) * (1.0 + 1e-9)

    def truth(value: float) -> bool:
        return value >= level

    when_s = turns(body, level, since_s, truth)
    if when_s == inf:
        assert level <= 0.0 or level >= warm * (1.0 - 1e-9)
        assert level <= 0.0 or level >= top * (1.0 - 1e-9)
        return
    assert truth(body.at(when_s)) is not truth(body.at(since_s))
    middle_s = 0.5 * (since_s + when_s)
    assert middle_s - since_s < 1e-3 or truth(body.at(middle_s)) is truth(body.at(since_s))
