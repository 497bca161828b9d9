"""What is made of the movements of contacts and of the readings of a lever."""

from __future__ import annotations

from itertools import pairwise

import pytest

from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_wires import Place
from panelbridge.link.wire import Captured
from panelbridge.wiring.bring_up.exams.bounce import WINDOW_MS, burst_ms
from panelbridge.wiring.bring_up.exams.lever_figures import Readings, advise_lever, mover
from panelbridge.wiring.bring_up.exams.strokes import QUIET_S, TwoPositions

A, B = Place("main", "D2"), Place("main", "D3")


def _moved(changes: list[tuple[float, Place, bool]], *, springs_back: bool = False) -> object:
    """Changes in their order; the user waits whenever a second passes between two of them."""
    strokes = TwoPositions(springs_back=springs_back)
    for (at_s, place, closed), (next_s, *_) in pairwise(
        [*changes, (changes[-1][0] + 9.0, A, True)]
    ):
        strokes.changed(at_s, place, closed)
        if next_s - at_s >= QUIET_S:
            strokes.tick(at_s + QUIET_S)
    assert strokes.stage == 2
    return {place: how.first for place, how in strokes.moved().items()}


@pytest.mark.parametrize(
    ("changes", "moved"),
    [
        # closes and opens again
        ([(0.0, A, True), (2.0, A, False)], {A: True}),
        # normally closed
        ([(0.0, A, False), (2.0, A, True)], {A: False}),
        # it was on already: off, on; then off
        ([(0.0, A, False), (0.4, A, True), (2.0, A, False)], None),
        ([(0.0, A, False), (0.4, A, True), (0.5, B, True), (2.0, A, False)], {A: True}),
        # two wires together
        ([(0.0, A, True), (0.0, B, True), (2.0, A, False), (2.0, B, False)], {A: True, B: True}),
        # a handle with two contacts
        (
            [(0.0, A, False), (0.3, B, True), (2.0, B, False), (2.3, A, True)],
            {A: False, B: True},
        ),
        # one that came late does not count if it stays
        ([(0.0, A, True), (2.0, A, False), (2.1, B, True), (2.2, B, False)], {A: True}),
    ],
)
def test_pins_that_differ_between_two_positions(
    changes: list[tuple[float, Place, bool]], moved: dict[Place, bool] | None
) -> None:
    if moved is None:  # back where it was: that was no movement, and it is asked for again
        strokes = TwoPositions(springs_back=False)
        for at_s, place, closed in changes[:2]:
            strokes.changed(at_s, place, closed)
        assert not strokes.tick(changes[1][0] + QUIET_S)
        assert strokes.stage == 0
        return
    assert _moved(changes) == moved


def test_a_button_may_be_back_before_it_was_asked_to() -> None:
    assert _moved([(0.0, A, True), (0.2, A, False)], springs_back=True) == {A: True}
    assert _moved([(0.0, A, False), (0.2, A, True)], springs_back=True) == {A: False}


def _captured(*times_us: int, changes: int | None = None) -> Captured:
    count = len(times_us) if changes is None else changes
    return Captured(9, 0, True, count, 36, times_us)


@pytest.mark.parametrize(
    ("captured", "length_ms"),
    [
        (_captured(0), 0.0),  # one clean change has no length
        (_captured(0, 500, 1500), 1.536),  # with the resolution of the board
        (_captured(0, 500), None),  # it came back: no stroke
        (_captured(*range(0, 3200, 100), changes=65), 3.1 * 65 / 32 + 0.036),
        (_captured(*range(0, 96_000, 3000), changes=65), WINDOW_MS + 0.036),  # no longer
    ],
)
def test_length_of_a_burst(captured: Captured, length_ms: float | None) -> None:
    assert burst_ms(captured) == (None if length_ms is None else pytest.approx(length_ms))


def _readings(low: int, high: int, noise: int = 0, sweep: list[int] | None = None) -> Readings:
    ends = [[low, low + noise], [high, high - noise]] * 2
    straight = [*range(min(low, high), max(low, high), 50)]
    up = straight if high > low else straight[::-1]
    sweeps = [up, up[::-1], up]
    if sweep is not None:
        sweeps[0] = sweep
    return Readings(ends, sweeps)


def _lever(**keys: int) -> LeverSwitch:
    return LeverSwitch(board="main", form="lever", pin="A0", **keys)


@pytest.mark.parametrize(
    ("filed", "found", "counts", "gate", "is_reversed"),
    [
        (_lever(), _readings(0, 1023), None, None, False),
        (_lever(), _readings(10, 1010), None, None, False),  # a hand is no better
        (_lever(), _readings(30, 990), (30, 990), None, False),
        (_lever(), _readings(1023, 0), (1023, 0), None, True),
        (_lever(counts_at_0=1000, counts_at_1=20), _readings(1000, 20), None, None, False),
        (_lever(counts_at_0=1000, counts_at_1=20), _readings(20, 1000), (20, 1000), None, True),
        (_lever(), _readings(0, 1023, noise=4), None, None, False),
        (_lever(), _readings(0, 1023, noise=12), None, 19, False),
        (_lever(noise_gate_counts=12), _readings(0, 1023, noise=12), None, None, False),
        (_lever(), _readings(100, 900, noise=8), (108, 892), 13, False),  # both are reached
    ],
)
def test_what_a_lever_needs(
    filed: LeverSwitch,
    found: Readings,
    counts: tuple[int, int] | None,
    gate: int | None,
    is_reversed: bool,
) -> None:
    advice = advise_lever(filed, found)
    assert (advice.counts, advice.gate, advice.is_reversed) == (counts, gate, is_reversed)


def test_a_file_with_the_advice_needs_none_again() -> None:
    found = _readings(100, 900, noise=8)
    advice = advise_lever(_lever(), found)
    assert advice.counts is not None
    assert advice.gate is not None
    low, high = advice.counts
    better = _lever(counts_at_0=low, counts_at_1=high, noise_gate_counts=advice.gate)
    again = advise_lever(better, found)
    assert (again.counts, again.gate, again.is_reversed) == (None, None, False)


def test_a_bad_track_runs_back() -> None:
    assert _readings(0, 1000).step_back == 0
    assert _readings(1000, 0).step_back == 0
    assert _readings(0, 1000, sweep=[0, 300, 600, 150, 700, 1000]).step_back == 450
    assert _readings(1000, 0, sweep=[1000, 500, 700, 0]).step_back == 200


def test_the_pin_that_moved_most() -> None:
    full = {"main": 1023, "other": 65535}
    found = {Place("main", "A0"): _readings(0, 100), Place("other", "GP26"): _readings(0, 60000)}
    assert mover(found, full) == Place("other", "GP26")
    assert mover({Place("main", "A0"): _readings(500, 520)}, full) is None
