"""Rising edge and settling."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.edges import RisingEdge, Settling


@pytest.mark.parametrize(
    ("history", "operated"),
    [
        ([False, True], True),
        ([True], False),
        ([None, True], False),
        ([True, False, True], True),
        ([False, None, True], False),
        ([False, True, True], False),
    ],
)
def test_a_switch_counts_when_it_was_seen_off(history: list[bool | None], operated: bool) -> None:
    before = now = RisingEdge()
    for on in history:
        before, now = now, now.take(on)
    assert before.rises(now) is operated


def test_what_was_refused_counts_after_a_release() -> None:
    edge = RisingEdge().take(False).take(True).spent()
    assert not edge.holds
    assert edge.take(False).take(True).holds


def test_settling_by_hand() -> None:
    """0.2 s: a change at 1.0 s counts at 1.2 s; one that returns at 1.1 s never does."""
    known = Settling().take(0.0, False, 0.2)
    assert known == Settling(False, False)
    changed = known.take(1.0, True, 0.2)
    assert (changed.stable, changed.due_s) == (False, 1.2)
    assert changed.take(1.2, True, 0.2) == Settling(True, True)
    assert changed.take(1.1, False, 0.2) == known
    assert changed.take(1.3, None, 0.2) == Settling()
    assert known.take(1.0, True, 0.0) == Settling(True, True)


@given(st.lists(st.tuples(st.sampled_from([0.0, 0.05, 0.1, 0.2, 0.3]), st.booleans()), max_size=30))
def test_law_what_counts_was_the_same_for_the_whole_time(moves: list[tuple[float, bool]]) -> None:
    now_s, settling, since_s = 0.0, Settling().take(0.0, False, 0.2), -inf
    for wait_s, raw in moves:
        now_s += wait_s
        if raw is not settling.raw:
            since_s = now_s
        before = settling
        settling = settling.take(now_s, raw, 0.2)
        if settling.stable is not before.stable and settling.stable is raw:
            assert now_s >= before.due_s or now_s - since_s >= 0.2
        assert settling.take(now_s, raw, 0.2) == settling, "an extra look changes nothing"
