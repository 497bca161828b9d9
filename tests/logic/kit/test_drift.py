"""A number that drifts to its limits; times worked out by hand."""

from __future__ import annotations

from math import inf, nextafter

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.drift import Drift

LIMITS = (0.0, 300.0, 1000.0)


def test_a_leak_by_hand() -> None:
    """2000 less 10 a second from 5 s: at 1000 at 105 s, at 300 at 175 s, at nothing at 205 s."""
    leak = Drift(Line(0.0, 2000.0, low=0.0)).moved(5.0, 2000.0, -10.0, LIMITS)
    seen = []
    while leak.due_s < inf:
        now_s = leak.due_s
        seen.append((now_s, leak.at(now_s)))
        assert leak.at(now_s - 1.0) == leak.at(now_s) + 10.0
        leak = leak.moved(now_s, leak.at(now_s), -10.0, LIMITS)
    assert seen == [(105.0, 1000.0), (175.0, 300.0), (205.0, 0.0)]
    assert leak.at(999.0) == 0.0


def test_filling_stops_at_no_limit_by_itself() -> None:
    filling = Drift(Line()).moved(0.0, 1.0, 0.5, (2.0, 4.0))
    assert (filling.target, filling.due_s) == (2.0, 2.0)
    filling = filling.moved(2.0, 2.0, 0.5, (2.0, 4.0))
    assert (filling.target, filling.due_s) == (4.0, 6.0)
    assert filling.moved(6.0, 4.0, 0.5, (2.0, 4.0)).due_s == inf


def test_what_goes_on_as_before_is_the_same() -> None:
    leak = Drift(Line(0.0, 9.0, low=0.0)).moved(1.0, 9.0, -1.0, (5.0,))
    assert leak.moved(3.0, 7.0, -1.0, (5.0,)) is leak
    assert leak.moved(3.0, 7.0, 0.0, (5.0,)) == Drift(Line(0.0, 7.0, low=0.0))
    still = Drift(Line(0.0, 9.0))
    assert still.moved(8.0, 4.0, 0.0, ()).moved(9.0, 9.0, 0.0, ()) == still


def test_a_limit_that_is_too_near_for_the_clock_still_has_a_later_time() -> None:
    """With the low number of applications left the next number up ends the caution."""
    above = nextafter(3.0, inf)
    filling = Drift(Line()).moved(100.0, 3.0, 0.2, (above, 9.0))
    assert (filling.target, filling.due_s) == (above, nextafter(100.0, inf))
    filling = filling.moved(filling.due_s, above, 0.2, (above, 9.0))
    assert filling.due_s == 130.0


@given(
    value=st.floats(-100.0, 100.0),
    rate=st.sampled_from([-3.0, -0.1, 0.1, 7.0]),
    limits=st.lists(st.floats(-100.0, 100.0), max_size=5),
)
def test_every_limit_ahead_is_reached_in_turn_and_exactly(
    value: float, rate: float, limits: list[float]
) -> None:
    drift, reached, now_s = Drift(Line()).moved(1.0, value, rate, limits), [], 1.0
    while drift.due_s < inf:
        assert drift.due_s > now_s
        now_s = drift.due_s
        reached.append(drift.at(now_s))
        drift = drift.moved(now_s, drift.at(now_s), rate, limits)
    ahead = [limit for limit in limits if (limit > value if rate > 0.0 else limit < value)]
    assert reached == sorted(set(ahead), reverse=rate < 0.0)
