"""One number against another signal: at once, when both move, and when one is unknown.

By hand: 240 kt falling 10 kt/s from 1 s on, and 200 kt standing: the same at 5 s, and below it with
the next value of the ramp, at 5.02 s.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.kit.condition_times import LOOK_S, Timed, turn_s
from panelbridge.logic.kit.conditions import Compare, Comparison, compares, truth_of
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World
from tests.bench.made import Run
from tests.examples import examples


def line_signal(name: str, line: Line) -> Signal:
    return Signal(
        name, "number", name, lambda world: line.at(world.now_s), curve=lambda world: line
    )


LINES = st.builds(
    Line,
    since_s=st.just(0.0),
    start=st.floats(-5.0, 5.0).map(lambda x: round(x, 2)),
    rate=st.sampled_from([0.0, 0.0, -3.0, -1.0, -0.25, 0.5, 1.0, 2.0]),
    low=st.just(-6.0),
    high=st.just(6.0),
)
ORDERS = st.sampled_from([c for c in Comparison if c is not Comparison.IS])


@settings(max_examples=examples(25))
@given(one=LINES, other=LINES, order=ORDERS)
def test_law_the_turn_of_two_lines_is_where_their_truth_turns(
    one: Line, other: Line, order: Comparison
) -> None:
    first, second = line_signal("first", one), line_signal("second", other)
    compare = Compare("first", order, None, "second")
    truth = truth_of(compare, {"first": first, "second": second})
    now_s = 0.0
    for _ in range(4000):
        world = World({}, now_s)
        next_s = turn_s(world, first, compare, second)
        if next_s == inf:
            break
        assert next_s > now_s
        before = truth(world)
        middle_s = (now_s + next_s) / 2
        assert truth(World({}, middle_s)) is before, "nothing turns before it"
        if one.rate and other.rate and one.at(inf) != one.at(now_s):
            assert next_s <= now_s + LOOK_S or truth(World({}, next_s)) is not before
        now_s = next_s
    else:
        pytest.fail("it never ends")
    assert truth(World({}, now_s)) is truth(World({}, 1e6)), "after the last turn nothing turns"


def test_a_comparison_reads_both_and_is_unknown_without_one() -> None:
    numbers: dict[str, float | None] = {"a": 1.0, "b": 2.0}
    specs = {
        name: Signal(name, "number", name, lambda world, name=name: numbers[name])  # type: ignore[misc]
        for name in numbers
    }
    below = truth_of(Compare("a", Comparison.BELOW, None, "b"), specs)
    assert below(World({}, 0.0)) is True
    numbers["a"] = 2.0
    assert below(World({}, 0.0)) is False
    assert truth_of(Compare("a", Comparison.AT_MOST, None, "b"), specs)(World({}, 0.0)) is True
    numbers["b"] = None
    assert below(World({}, 0.0)) is None
    assert Compare("a", Comparison.BELOW, None, "b").signals == ("a", "b")
    assert Timed(specs["a"], Compare("a", Comparison.BELOW, 1.0)).drifts(World({}, 0.0)) is False
    assert compares(Comparison.BELOW, 2.0)(1.0)
    assert replace(specs["a"]).moving(World({}, 0.0)) is None


SPEEDS = (
    "  - { at_s: 0, set: { ground_speed_kt: 200 } }\n"
    "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 10 } }\n"
)


def test_a_ramp_comes_past_another_value(run: Run) -> None:
    steps = SPEEDS + "  - { wait_for: { airspeed_kias: { below: ground_speed_kt } }, note: past }\n"
    result = run(steps)
    assert result.passed, result.failures
    past = next(mark.time_s for mark in result.trace.marks if mark.text == "past")
    assert past == pytest.approx(5.02)


def test_a_failure_names_both(run: Run) -> None:
    steps = SPEEDS + (
        "  - { expect: { airspeed_kias: { at_least: ground_speed_kt } }, throughout_s: 8 }\n"
        "  - { set: { ground_speed_kt: unknown } }\n"
        "  - { at_s: 11, never: { airspeed_kias: { above: ground_speed_kt } }, for_s: 1 }\n"
    )
    result = run(steps)
    (failure,) = result.failures
    assert failure.expected == "airspeed_kias at least ground_speed_kt, throughout 8 s"
    assert failure.actual == "airspeed_kias is 240 kt, ground_speed_kt is unknown"
    (undecided,) = result.undecided
    assert undecided.unknown == ("ground_speed_kt",)


@pytest.mark.parametrize(
    "condition", ["nose_travel: { above: throttle_1 }", "throttle_1: { below: nose_travel }"]
)
def test_a_curve_meets_a_standing_signal_between_two_steps(run: Run, condition: str) -> None:
    """By hand: unlocked at 1.72 s, down 5.2 s later; 0.7 of that way is reached at 5.36 s."""
    steps = "  - { at_s: 1, move: { gear_handle: down } }\n"
    result = run(steps + f"  - {{ wait_for: {{ {condition} }}, note: met }}\n")
    assert result.passed, result.failures
    met = next(mark.time_s for mark in result.trace.marks if mark.text == "met")
    assert met == pytest.approx(1.72 + 0.7 * 5.2, abs=1e-6)


def test_two_moving_legs_are_compared(run: Run) -> None:
    """By hand: the nose unlocks 0.2 s before the left leg and stays ahead until both are down."""
    steps = (
        "  - { at_s: 1, move: { gear_handle: down } }\n"
        "  - { wait_for: { nose_travel: { above: left_travel } }, note: ahead }\n"
        "  - { expect: { nose_travel: { above: left_travel } }, throughout_s: 6.4 }\n"
        "  - { wait_for: { left_travel: { at_least: nose_travel } }, note: both, limit_s: 10 }\n"
    )
    result = run(steps)
    assert result.passed, result.failures
    times = {mark.text: mark.time_s for mark in result.trace.marks}
    assert times["ahead"] == pytest.approx(1.72, abs=1e-6)
    assert times["both"] == pytest.approx(8.22, abs=1e-6)
