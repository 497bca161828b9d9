"""G-1: J. Ganssle, "A Guide to Debouncing": bursts of 1.557 ms on average, 6.2 ms at the most."""

from __future__ import annotations

import random
from itertools import pairwise
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.boards import BOARDS
from panelbridge.simboard.board.wiring import Wiring
from panelbridge.simboard.contacts.contact import (
    BOUNCE_MAX_S,
    LONGEST_TOGGLE_S,
    SHORTEST_TOGGLE_S,
    bouncing,
    clean,
    rattling,
)


def test_bursts_are_as_long_as_measured_ones() -> None:
    rng = random.Random(1)
    lengths = []
    for _ in range(20_000):
        changes = bouncing(rng, 0.0, True)
        lengths.append(changes[-1][0])
    # A burst ends at its last change: up to one toggle before its drawn end.
    assert mean(lengths) == pytest.approx(0.001557, abs=0.00010)
    assert 0.0060 < max(lengths) <= BOUNCE_MAX_S


@given(st.integers(), st.booleans(), st.floats(0, 1000, allow_nan=False))
def test_a_burst_begins_with_the_change_toggles_and_ends_with_it(
    seed: int, closed: bool, at_s: float
) -> None:
    changes = bouncing(random.Random(seed), at_s, closed)
    assert changes[0] == (at_s, closed)
    assert changes[-1][1] == closed
    for (time_s, level), (next_s, next_level) in pairwise(changes):
        assert level != next_level
        assert 0 < next_s - time_s <= LONGEST_TOGGLE_S + 1e-9
    for (time_s, _), (next_s, _) in pairwise(changes[:-1]):
        assert next_s - time_s >= SHORTEST_TOGGLE_S - 1e-9


def test_the_same_seed_gives_the_same_bursts() -> None:
    one, two, three = (bouncing(random.Random(seed), 0.0, True) for seed in (4, 4, 5))
    assert one == two != three


def test_noise_uses_all_of_its_counts_and_no_more() -> None:
    for counts, expected in ((3, {-3, -2, -1, 0, 1, 2, 3}), (0, {0})):
        wiring = Wiring(BOARDS["uno"], random.Random(1), counts)
        wiring.set_counts("A0", 500)
        assert {wiring.reading("A0") - 500 for _ in range(500)} == expected


@given(st.integers(), st.booleans(), st.floats(0.001, 1.0), st.floats(0.001, 0.1))
def test_a_bad_contact_keeps_each_level_long_enough_to_be_seen(
    seed: int, closed: bool, burst_s: float, debounce_s: float
) -> None:
    """Common practice, no source: a quarter of the debounce time and more, within the burst."""
    changes = rattling(random.Random(seed), burst_s, debounce_s, 5.0, closed)
    assert changes[0] == (5.0, closed)
    assert changes[-1][1] == closed
    assert changes[-1][0] <= 5.0 + burst_s
    for (time_s, level), (next_s, next_level) in pairwise(changes):
        assert level != next_level
        assert next_s - time_s <= 1.75 * debounce_s + 1e-9
    for (time_s, _), (next_s, _) in pairwise(changes[:-1]):
        assert next_s - time_s >= 0.25 * debounce_s - 1e-9


def test_an_ideal_contact_changes_once() -> None:
    assert clean(2.0, True) == [(2.0, True)]
