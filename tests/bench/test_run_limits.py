"""Decisions have their own times: limits, intervals, waits in vain, legs on their way."""

from __future__ import annotations

import pytest

from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.reports.text import result_text
from panelbridge.bench.verdict.trace import Mark, ScenarioResult
from panelbridge.config.load import load_aircraft
from tests.bench.made import Run
from tests.bench.plain import plain_config

TWIN_JET = plain_config("aircraft/twin_jet.yaml")
TWIN = load_aircraft(TWIN_JET)
NOSE = TWIN.legs[0]
DOWN = "  - { at_s: 1, move: { gear_handle: down } }\n"
UNLOCKED_S = 1.32 + NOSE.unlock_s
"""The nose leg begins to travel: hand, debouncing, unlocking."""


def decided(result: ScenarioResult) -> list[Mark]:
    return [mark for mark in result.trace.marks if mark.passed or mark.failed]


LATER = "  - { at_s: 9, set: { flap_deg: 1 } }\n"


@pytest.mark.parametrize(
    "expected",
    [
        "expect: { horn: silent }, throughout_s: 5",
        "never: { horn: continuous }, for_s: 5",
        "never: { event: horn_sounded }, for_s: 5",
    ],
)
def test_an_interval_that_held_is_reported_at_its_end(run: Run, expected: str) -> None:
    (mark,) = decided(run(f"  - {{ at_s: 1, {expected} }}\n{LATER}"))
    assert mark.passed
    assert mark.time_s == pytest.approx(6.0)


@pytest.mark.parametrize(
    "expected",
    ["expect: { horn: continuous }, within_s: 2", "in_order: [horn_sounded], within_s: 2"],
)
def test_a_limit_that_passed_is_reported_at_its_time(run: Run, expected: str) -> None:
    result = run(f"  - {{ at_s: 1, {expected} }}\n{LATER}")
    (failure,) = result.failures
    assert failure.time_s == pytest.approx(3.0)
    assert [mark.time_s for mark in decided(result)] == [failure.time_s]


def test_limits_between_two_events_are_reported_one_after_the_other(run: Run) -> None:
    result = run(
        "  - { at_s: 1, expect: { horn: silent }, throughout_s: 4 }\n"
        "  - { after_s: 0, expect: { horn: continuous }, within_s: 3 }\n"
        "  - { after_s: 0, never: { greens: lit }, for_s: 2 }\n" + LATER
    )
    assert [mark.time_s for mark in decided(result)] == pytest.approx([3.0, 4.0, 5.0])


def test_a_late_event_is_not_among_the_last_ones_of_a_limit(run: Run) -> None:
    """The horn sounds 0.15 s after the lever closes, later than the limit."""
    (failure,) = run(
        "  - { at_s: 1, set: { throttles: 0 }, expect: { horn: continuous }, within_s: 0.1 }\n"
        + LATER
    ).failures
    assert failure.time_s == pytest.approx(1.1)
    assert failure.actual == "horn is silent"
    assert failure.events == ()
    assert failure.reasons.keys() == {"horn"}


def test_the_actual_value_of_a_limit_is_that_of_its_time(run: Run) -> None:
    limit_s = 3.0
    (failure,) = run(
        f"  - {{ at_s: 1, move: {{ gear_handle: down }},"
        f" expect: {{ nose_travel: 1 }}, within_s: {limit_s} }}\n" + LATER
    ).failures
    assert failure.time_s == pytest.approx(1.0 + limit_s)
    travel = (1.0 + limit_s - UNLOCKED_S) / NOSE.extend_s
    assert failure.actual == f"nose_travel is {travel:.6g}"


# -- a wait in vain -----------------------------------------------------------------------------

IN_VAIN = (
    "  - { at_s: 1, expect: { horn: continuous }, within_s: 5 }\n"
    "  - { never: { event: horn_sounded } }\n"
    "  - { expect: { horn: silent }, throughout_s: end }\n"
    "  - { wait_for: { gear: locked_down }, limit_s: 3, expect: { greens: lit } }\n"
    "  - { after_s: 1, expect: { horn: continuous, reds: lit } }\n"
)


def test_a_wait_in_vain_leaves_undecided_what_is_open(run: Run) -> None:
    result = run(IN_VAIN)
    (failure,) = result.failures
    assert failure.expected == "gear is locked_down, within 3 s"
    assert failure.time_s == pytest.approx(4.0)
    assert [(one.spot.line, one.expected) for one in result.undecided] == [
        (7, "horn is continuous, within 5 s"),
        (8, "never horn_sounded, throughout, to the end"),
        (9, "horn is silent, throughout, to the end"),
        (10, "nose_green is lit and left_green is lit and right_green is lit"),
        (
            11,
            "horn is continuous and (nose_red is lit and left_red is lit and right_red is lit)",
        ),
    ]
    assert [mark.failed for mark in decided(result)] == [True], "the wait alone"
    assert result.trace.end_s == pytest.approx(4.0)


def test_a_report_lists_what_was_not_decided(run: Run) -> None:
    text = result_text(run(IN_VAIN))
    assert text.count("    expected ") == 1, "the wait alone has failed"
    assert "not decided" in text
    assert "scenario.yaml:8:" in text
    assert "never horn_sounded" in " ".join(text.split())  # long paths break lines


def test_what_a_wait_in_vain_still_decides(run: Run) -> None:
    """A limit at the very same time is reached."""
    result = run(
        "  - { at_s: 1, expect: { horn: continuous }, within_s: 3 }\n"
        "  - { never: { horn: continuous }, for_s: 3 }\n"
        "  - { wait_for: { gear: locked_down }, limit_s: 3 }\n"
    )
    assert result.undecided == ()
    assert sorted(failure.spot.line for failure in result.failures) == [7, 9]
    assert [mark.spot.line for mark in decided(result) if mark.passed] == [8]


def test_a_whole_run_leaves_nothing_undecided(run: Run) -> None:
    result = run("  - { never: { event: horn_sounded } }\n" + LATER)
    assert result.passed
    assert result.undecided == ()
    assert [mark.time_s for mark in decided(result)] == [9.0]


def test_each_wait_waits_for_its_own(run: Run) -> None:
    result = run(
        "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 10 } }\n"
        "  - { wait_for: { airspeed_kias: { below: 220.001 } } }\n"
        "  - { wait_for: { airspeed_kias: { below: 200.001 } } }\n"
        "  - { wait_for: { airspeed_kias: { below: 10 } }, limit_s: 2.5 }\n"
    )
    begun = [mark.time_s for mark in result.trace.marks if not (mark.passed or mark.failed)]
    assert begun == pytest.approx([1.0, 3.0, 5.0])
    (failure,) = result.failures
    assert failure.time_s == pytest.approx(7.5), "counted from the step before"


def test_a_run_begins_with_a_sample(run: Run) -> None:
    result = run("  - { at_s: 1, set: { flap_deg: 1 } }\n")
    assert [sample.time_s for sample in result.trace.samples] == [0.0, 1.0]


# -- late steps ---------------------------------------------------------------------------------


def test_a_step_that_cannot_begin_in_time_after_a_wait_fails(run: Run) -> None:
    result = run(
        f"{DOWN}  - wait_for: {{ gear: locked_down }}\n"
        "  - at_s: 5\n    expect: { greens: lit }\n"
        "  - after_s: 1\n    expect: { greens: lit }\n"
    )
    (failure,) = result.failures
    assert failure.spot.line == 9
    assert failure.expected == "this step begins at 5 s"
    waited_s = result.trace.end_s - 1.0
    assert failure.actual == f"the step before it began at {waited_s:.3f} s only, after a wait"
    assert failure.time_s == pytest.approx(waited_s)
    assert [mark.passed for mark in decided(result)] == [False, True, True]


def test_a_step_at_the_very_end_of_a_wait_is_not_late(run: Run) -> None:
    result = run(
        "  - { at_s: 1, set: { airspeed_kias: 100 } }\n"
        "  - { ramp: { to: { airspeed_kias: 200 }, over_s: 4 } }\n"
        "  - { wait_for: { airspeed_kias: 200 } }\n"
        "  - { at_s: 5, expect: { airspeed_kias: 200 } }\n"
    )
    assert result.failures == ()


# -- legs on their way --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wanted", "fraction"),
    [
        ("above: 0.5", 0.5),
        ("at_least: 0.333", 0.333),
        ("above: 0", 0.0),
        ("at_least: 0.999", 0.999),
    ],
)
def test_a_wait_for_travel_is_met_at_its_very_time(run: Run, wanted: str, fraction: float) -> None:
    result = run(f"{DOWN}  - {{ wait_for: {{ nose_travel: {{ {wanted} }} }} }}\n")
    assert result.failures == ()
    assert result.trace.end_s == pytest.approx(UNLOCKED_S + fraction * NOSE.extend_s, abs=1.2e-5)


def test_a_place_that_is_passed_is_met_on_the_way(run: Run) -> None:
    result = run(f"{DOWN}  - {{ wait_for: {{ nose_travel: 0.4 }}, limit_s: 9 }}\n")
    assert result.failures == ()
    assert result.trace.end_s == pytest.approx(UNLOCKED_S + 0.4 * NOSE.extend_s, abs=1e-9)


@pytest.mark.parametrize(
    ("wanted", "fraction"), [("below: 0.25", 0.25), ("at_most: 0.75", 0.75), ("0.6", 0.6)]
)
def test_a_wait_on_the_way_up(run: Run, wanted: str, fraction: float) -> None:
    wanted = f"{{ {wanted} }}" if ":" in wanted else wanted
    up = "  - { at_s: 1, move: { gear_handle: up } }\n"
    result = run(f"{up}  - {{ wait_for: {{ nose_travel: {wanted} }} }}\n", "final approach")
    assert result.failures == ()
    moved = 1.32 + NOSE.unlock_s + (1.0 - fraction) * NOSE.retract_s
    assert result.trace.end_s == pytest.approx(moved, abs=2e-6)


def test_a_leg_that_turns_round_is_followed(run: Run) -> None:
    result = run(
        f"{DOWN}  - {{ at_s: 4, move: {{ gear_handle: up }} }}\n"
        "  - { wait_for: { nose_travel: { below: 0.2 }, nose_leg: retracting }, limit_s: 9 }\n"
    )
    assert result.failures == ()
    turned = (4.32 - UNLOCKED_S) / NOSE.extend_s
    back_s = 4.32 + (turned - 0.2) * NOSE.retract_s
    assert result.trace.end_s == pytest.approx(back_s, abs=2e-6)


def test_an_interval_sees_a_leg_pass(run: Run) -> None:
    (failure,) = run(
        f"{DOWN}  - {{ never: {{ nose_travel: {{ above: 0.7 }} }}, for_s: 20 }}\n"
    ).failures
    assert failure.time_s == pytest.approx(UNLOCKED_S + 0.7 * NOSE.extend_s, abs=2e-6)
    assert failure.actual == "nose_travel is 0.7"


def test_a_wait_for_travel_costs_no_samples(run: Run) -> None:
    result = run(f"{DOWN}  - {{ wait_for: {{ nose_travel: {{ above: 0.5 }} }} }}\n")
    assert len(result.trace.samples) < 20


def test_the_end_of_a_run_shows_legs_where_they_are(run: Run) -> None:
    """Nothing is due at 4 s, and nobody asks: the last sample is of that time all the same."""
    result = run(DOWN, more="runs_for_s: 4\n")
    last = result.trace.samples[-1]
    assert last.time_s == result.trace.end_s == 4.0
    travel = (4.0 - UNLOCKED_S) / NOSE.extend_s
    assert signals_of(TWIN)["nose_travel"].read(last) == pytest.approx(travel)


# -- reasons ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "reported", "condition"),
    [
        ("steering_green: lit", {"steering_green"}, "steering button held"),
        ("steering_green_brightness: 9", {"steering_green"}, "steering button held"),
        ("steering: engaged", set(), ""),
        ("horn_silenced: true", {"horn"}, "throttle warning silenced"),
        ("nose_green_brightness: 9", {"nose_green"}, "nose leg locked down"),
        ("gear: locked_down", set(), ""),
    ],
)
def test_reasons_are_those_of_the_right_output(
    run: Run, wrong: str, reported: set[str], condition: str
) -> None:
    (failure,) = run(f"  - {{ at_s: 1, expect: {{ {wrong} }} }}\n").failures
    assert set(failure.reasons) == reported
    conditions = {reason.condition for found in failure.reasons.values() for reason in found}
    assert not condition or condition in conditions


def test_a_wait_in_vain_reports_reasons_too(run: Run) -> None:
    (failure,) = run("  - { wait_for: { steering_green: lit }, limit_s: 1 }\n").failures
    assert set(failure.reasons) == {"steering_green"}


NO_AIRSPEED = "  - { at_s: 1, set: { airspeed_kias: unknown } }\n"
FAST = "{ airspeed_kias: { above: 100 } }"
SLOW = f"{{ not: {FAST} }}"


@pytest.mark.parametrize("condition", [FAST, SLOW])
@pytest.mark.parametrize("how", ["", ", within_s: 2", ", throughout_s: 2"])
def test_an_unknown_signal_passes_no_expectation(run: Run, condition: str, how: str) -> None:
    result = run(f"{NO_AIRSPEED}  - {{ after_s: 1, expect: {condition}{how} }}\n")
    (failure,) = result.failures
    assert failure.actual == "airspeed_kias is unknown"
    assert result.undecided == ()


@pytest.mark.parametrize("condition", [FAST, SLOW])
def test_a_never_is_undecided_once_its_signal_was_unknown(run: Run, condition: str) -> None:
    result = run(
        "  - { at_s: 0, set: { airspeed_kias: unknown } }\n"
        f"  - {{ after_s: 1, never: {condition}, for_s: 5 }}\n"
        f"  - {{ after_s: 6, set: {{ airspeed_kias: 100 }} }}\n"
    )
    assert result.failures == ()
    (one,) = result.undecided
    assert (one.spot.line, one.unknown) == (8, ("airspeed_kias",))
    assert not result.passed
    text = result_text(result)
    assert text.startswith("FAILED")
    assert "not decided   signals were unknown:" in text
    assert text.endswith("throughout 5 s (airspeed_kias unknown)")


def test_a_never_fails_when_its_condition_comes_true_after_all(run: Run) -> None:
    never = f"  - {{ after_s: 1, never: {FAST}, for_s: 5 }}\n"
    result = run(f"{NO_AIRSPEED}{never}  - {{ after_s: 1, set: {{ airspeed_kias: 200 }} }}\n")
    assert [failure.spot.line for failure in result.failures] == [8]
    assert result.undecided == ()
    other = "{ all: [{ airspeed_kias: { above: 100 } }, { gear: locked_down }] }"
    assert run(f"{NO_AIRSPEED}  - {{ never: {other}, for_s: 5 }}\n").passed, "the gear is up"


def test_a_wait_does_not_end_while_its_signal_is_unknown(run: Run) -> None:
    wait = f"  - {{ wait_for: {SLOW}, limit_s: 2, expect: {{ greens: dark }} }}\n"
    (failure,) = run(NO_AIRSPEED + wait).failures
    assert failure.actual == "airspeed_kias is unknown"
    slow = "  - { after_s: 1, set: { airspeed_kias: 90 } }\n"
    assert run(NO_AIRSPEED + slow + wait).passed
