"""Debouncing of one contact."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.simboard.contacts.debounce import NEVER, Debouncer

Change = tuple[float, bool]


def edges(contact: Debouncer, changes: list[Change], looks: list[float]) -> list[Change]:
    """Sample at each change, when due, and at ``looks``; returns the edges with their times."""
    found = []
    waiting = sorted(changes)
    extra = sorted(looks)
    raw = False
    while waiting or extra or contact.due_s != NEVER:
        when = min(waiting[0][0] if waiting else NEVER, extra[0] if extra else NEVER, contact.due_s)
        if waiting and waiting[0][0] == when:
            raw = waiting.pop(0)[1]
        elif extra and extra[0] == when:
            extra.pop(0)
        if contact.sample(when, raw):
            found.append((when, bool(contact.stable)))
    return found


def test_first_sample_is_taken_as_it_is() -> None:
    contact = Debouncer(0.02)
    before = contact.stable
    assert before is None
    assert contact.sample(3.0, True)
    assert contact.stable is True
    assert contact.due_s == NEVER
    assert not contact.sample(3.1, True)


def test_an_initial_state_is_not_a_change() -> None:
    contact = Debouncer(0.02, initial=True)
    assert contact.stable is True
    assert not contact.sample(0.0, True)
    assert contact.bounces == 0


def test_waiting_until_quiet_counts_after_the_settling_time() -> None:
    contact = Debouncer(0.02, initial=False)
    assert not contact.sample(1.0, True)
    assert contact.due_s == pytest.approx(1.02)
    assert not contact.sample(1.019, True)
    assert contact.sample(1.02, True)
    assert contact.stable is True
    assert contact.due_s == NEVER


def test_waiting_until_quiet_restarts_at_every_change() -> None:
    contact = Debouncer(0.02, initial=False)
    for when, raw in ((1.0, True), (1.01, False), (1.015, True)):
        assert not contact.sample(when, raw)
    assert contact.due_s == pytest.approx(1.035)
    assert contact.bounces == 3
    assert not contact.sample(1.03, True)
    assert contact.sample(1.04, True)


def test_waiting_until_quiet_never_sees_a_short_glitch() -> None:
    contact = Debouncer(0.02, initial=False)
    assert not contact.sample(1.0, True)
    assert not contact.sample(1.019, False)
    assert not contact.sample(2.0, False)
    assert contact.stable is False


def test_holding_after_an_edge_counts_at_once_and_then_ignores_the_contact() -> None:
    contact = Debouncer(0.02, hold_after_edge=True, initial=False)
    assert contact.sample(1.0, True)
    assert not contact.sample(1.005, False)
    assert contact.stable is True
    assert not contact.sample(1.01, True)
    assert contact.due_s == pytest.approx(1.02)
    assert not contact.sample(1.02, True)
    assert contact.due_s == NEVER


def test_holding_takes_a_change_that_is_still_there_at_the_end_of_the_hold() -> None:
    contact = Debouncer(0.02, hold_after_edge=True, initial=False)
    assert contact.sample(1.0, True)
    assert not contact.sample(1.005, False)
    assert contact.sample(1.02, False)
    assert contact.stable is False
    assert contact.due_s == pytest.approx(1.04)
    assert not contact.sample(1.04, False)
    assert contact.due_s == NEVER


def test_without_a_settling_time_every_change_counts() -> None:
    contact = Debouncer(0.0, initial=False)
    assert contact.sample(1.0, True)
    assert contact.sample(1.0, False)
    assert contact.due_s == NEVER
    held = Debouncer(0.0, hold_after_edge=True, initial=False)
    assert held.sample(1.0, True)
    assert not held.sample(1.5, True)
    assert held.due_s == NEVER


@pytest.mark.parametrize("hold", [False, True])
def test_a_burst_longer_than_two_settling_times_is_noisy_until_the_next_one(hold: bool) -> None:
    contact = Debouncer(0.02, hold, initial=False)
    raw = False
    for number in range(10):  # 0 to 45 ms
        raw = not raw
        contact.sample(1.0 + number * 0.005, raw)
        if number != 8:  # exactly two settling times
            assert contact.noisy == (number > 8), number
    assert contact.bounces == 10
    contact.sample(2.0, raw)
    kept = contact.noisy
    assert kept, "for whoever reports it"
    contact.sample(3.0, not raw)
    assert not contact.noisy
    assert contact.bounces == 1


@pytest.mark.parametrize("hold", [False, True])
def test_a_clean_switch_is_never_noisy(hold: bool) -> None:
    contact = Debouncer(0.02, hold, initial=False)
    for number in range(50):
        contact.sample(number * 1.0, number % 2 == 1)
        contact.sample(number * 1.0 + 0.5, number % 2 == 1)
        assert not contact.noisy
        assert contact.bounces <= 1


@pytest.mark.parametrize("start_s", [0.0, 1.0, 1.1, 7.3, 1234.5])
def test_a_quick_tap_is_not_noisy(start_s: float) -> None:
    """Pressed and released within the hold: two clean edges, one of them reported late."""
    contact = Debouncer(0.02, hold_after_edge=True, initial=False)
    found = edges(contact, [(start_s, True), (start_s + 0.015, False)], [])
    assert found == [(start_s, True), (pytest.approx(start_s + 0.02), False)]
    assert not contact.noisy


@given(
    gaps=st.lists(st.floats(0.0001, 0.1), max_size=40),
    looks=st.lists(st.floats(0.0, 4.0), max_size=60),
    hold=st.booleans(),
)
def test_law_the_sampling_rate_does_not_matter(
    gaps: list[float], looks: list[float], hold: bool
) -> None:
    changes = []
    now_s, raw = 0.0, False
    for gap in gaps:
        now_s, raw = now_s + gap, not raw
        changes.append((now_s, raw))
    rarely = Debouncer(0.02, hold, initial=False)
    often = Debouncer(0.02, hold, initial=False)
    assert edges(rarely, changes, []) == edges(often, changes, looks)
    assert rarely.stable == often.stable == raw
    assert (rarely.bounces, rarely.noisy) == (often.bounces, often.noisy)


@given(gaps=st.lists(st.floats(0.0001, 0.1), max_size=40), hold=st.booleans())
def test_law_a_late_sample_settles_what_was_due(gaps: list[float], hold: bool) -> None:
    """Only the changes and one sample at the end: the debounced state is the same."""
    punctual = Debouncer(0.02, hold, initial=False)
    late = Debouncer(0.02, hold, initial=False)
    changes = []
    now_s, raw = 0.0, False
    for gap in gaps:
        now_s, raw = now_s + gap, not raw
        changes.append((now_s, raw))
    edges(punctual, changes, [])
    for when, level in changes:
        late.sample(when, level)
    late.sample(now_s + 1.0, raw)
    assert (late.stable, late.due_s) == (punctual.stable, punctual.due_s)
    assert (late.bounces, late.noisy) == (punctual.bounces, punctual.noisy)


@given(gaps=st.lists(st.floats(0.0001, 0.1), max_size=40), hold=st.booleans())
def test_law_edges_are_at_least_a_settling_time_apart(gaps: list[float], hold: bool) -> None:
    changes = []
    now_s, raw = 0.0, False
    for gap in gaps:
        now_s, raw = now_s + gap, not raw
        changes.append((now_s, raw))
    found = edges(Debouncer(0.02, hold, initial=False), changes, [])
    for (earlier, before), (later, after) in pairwise(found):
        assert later - earlier > 0.02 - 1e-9
        assert before is not after
