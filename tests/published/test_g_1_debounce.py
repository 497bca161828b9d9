"""G-1: J. Ganssle, "A Guide to Debouncing" (2004-2008): 1557 us on average, 6200 us at most.

Also G-3, *common practice, no source read*: switches up to hundreds of milliseconds exist.
"""

from __future__ import annotations

import random
from itertools import product

import pytest

from panelbridge.simboard.contacts.debounce import NEVER, Debouncer
from tests.logic.build import CLOSED, OPEN, changed, flying_gear_up

AVERAGE_S, LONGEST_S, OUTLIER_S = 0.001557, 0.0062, 0.157
Change = tuple[float, bool]


def burst(start_s: float, length_s: float, to: bool, seed: int) -> list[Change]:
    """A contact that goes to ``to``, toggling every 50 to 200 us until ``length_s`` is over."""
    chance = random.Random(seed)
    changes, now_s, raw = [(start_s, to)], start_s, to
    while True:
        now_s += chance.uniform(50e-6, 200e-6)
        if now_s >= start_s + length_s and raw is to:
            return changes
        raw = not raw
        changes.append((now_s, raw))


def edges(contact: Debouncer, changes: list[Change], period_s: float | None) -> list[Change]:
    """Edges out: looked at as it changes and when due, or only every ``period_s``."""
    found = []
    if period_s is None:
        for when, raw in changes:
            while contact.due_s <= when:
                due_s = contact.due_s
                if contact.sample(due_s, _raw_at(changes, due_s)):
                    found.append((due_s, contact.stable is True))
            if contact.sample(when, raw):
                found.append((when, contact.stable is True))
        while contact.due_s != NEVER:
            due_s = contact.due_s
            if contact.sample(due_s, changes[-1][1]):
                found.append((due_s, contact.stable is True))
        return found
    end_s = changes[-1][0] + 0.5
    waiting, raw = list(changes), not changes[0][1]
    for number in range(int(end_s / period_s) + 1):
        now_s = number * period_s
        while waiting and waiting[0][0] <= now_s:
            raw = waiting.pop(0)[1]
        if contact.sample(now_s, raw):
            found.append((now_s, contact.stable is True))
    return found


def _raw_at(changes: list[Change], now_s: float) -> bool:
    return [raw for when, raw in changes if when < now_s][-1]


@pytest.mark.parametrize("hold", [False, True])
@pytest.mark.parametrize("settle_s", [0.010, 0.020])
@pytest.mark.parametrize("length_s", [AVERAGE_S, LONGEST_S])
@pytest.mark.parametrize("period_s", [None, 0.0001, 0.001, 0.0037])
@pytest.mark.parametrize("to", [True, False])
def test_one_edge_for_one_actuation(
    hold: bool, settle_s: float, length_s: float, period_s: float | None, to: bool
) -> None:
    """Ganssle: with 10 ms or more, bursts of 1.557 ms and 6.2 ms give exactly one edge each."""
    for seed in range(20):
        contact = Debouncer(settle_s, hold, initial=not to)
        changes = burst(0.1, length_s, to, seed)
        found = edges(contact, changes, period_s)
        assert [level for _, level in found] == [to]
        longest_s = length_s + 250e-6 + (period_s or 0.0)
        late_s = found[0][0] - 0.1
        # A look may miss the first toggles; then the edge is seen a look or two later.
        assert 0.0 <= late_s <= (longest_s if hold else longest_s + settle_s + (period_s or 0.0))
        assert contact.stable is to
        assert not contact.noisy


@pytest.mark.parametrize("settle_s", [0.010, 0.020])
def test_pressed_and_let_go_ten_times_is_twenty_edges(settle_s: float) -> None:
    """Ganssle: each actuation bounces, in both directions (opening often longer)."""
    for hold, seed in product((False, True), range(5)):
        contact = Debouncer(settle_s, hold, initial=False)
        changes = []
        for number in range(20):
            length_s = AVERAGE_S if number % 2 == 0 else LONGEST_S
            changes += burst(0.1 + 0.1 * number, length_s, number % 2 == 0, seed * 100 + number)
        found = edges(contact, changes, None)
        assert [level for _, level in found] == [True, False] * 10
        assert not contact.noisy


@pytest.mark.parametrize("hold", [False, True])
def test_an_outlier_of_157_ms_at_20_ms_is_found_noisy(hold: bool) -> None:
    """Ganssle's outlier (*its number is from memory*): detected, not silently many commands."""
    for seed in range(20):
        contact = Debouncer(0.020, hold, initial=False)
        changes = burst(0.1, OUTLIER_S, True, seed)
        found = edges(contact, changes, None)
        assert contact.noisy
        assert contact.bounces == len(changes)
        assert contact.stable is True
        if not hold:
            assert [level for _, level in found] == [True]
        else:
            assert len(found) <= OUTLIER_S / 0.020 + 2, "no more than one edge a holding time"


def test_200_ms_of_bounce_can_be_settled() -> None:
    """G-3: settling times up to 200 ms and more can be configured."""
    for seed in range(5):
        contact = Debouncer(0.2, initial=False)
        found = edges(contact, burst(0.1, OUTLIER_S, True, seed), None)
        assert [level for _, level in found] == [True]
        assert not contact.noisy


def test_a_bounce_of_the_same_lever_does_not_sound_a_silenced_horn() -> None:
    """14 CFR 23.729(f)(1) with Ganssle's longest burst: a bounce is no second retardation."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    for seed in range(10):
        start_s = bench.now_s + 1.0
        for when, closed in burst(start_s, LONGEST_S, True, seed)[1:]:
            lever = CLOSED if closed else OPEN
            bench.at(when, aircraft=changed(bench.aircraft, throttle_fraction=(lever, OPEN)))
            assert bench.horn == "silent"
        bench.after(1.0)
        assert bench.horn == "silent"
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "intermittent"
