"""Steps that wait for an event, events that are counted, and those that come too early."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.expectations import EventPattern, ExpectCount, Spot
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.event_monitors import CountMonitor
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.signals import Event, Level
from tests.bench.made import Run, twin_jet
from tests.bench.on_boards import run_on_boards, write_scenario

DOWN = "  - { at_s: 1, move: { gear_handle: down } }\n"
# By hand: handle 0.3 s between its contacts and 0.02 s to settle, nose unlocks 0.4 s later.
NOSE_UNLOCKED_S = 1.72


def begun_at(result: ScenarioResult, note: str) -> float:
    return next(mark.time_s for mark in result.trace.marks if mark.text == note)


def test_a_step_begins_with_its_event(run: Run) -> None:
    steps = DOWN + (
        "  - { wait_for: { event: leg_unlocked nose }, note: nose }\n"
        "  - { wait_for: { event: leg_unlocked }, note: next }\n"
        "  - { wait_for: { event: leg_unlocked }, note: last }\n"
        "  - { wait_for: { event: gear_locked_down }, note: down }\n"
    )
    result = run(steps)
    assert result.passed, result.failures
    assert begun_at(result, "nose") == pytest.approx(NOSE_UNLOCKED_S)
    # Left and right unlock at one instant: each is an event of its own.
    assert begun_at(result, "next") == pytest.approx(1.92)
    assert begun_at(result, "last") == pytest.approx(1.92)
    assert begun_at(result, "down") == pytest.approx(8.52)


def test_what_its_actions_set_off_counts_and_what_was_before_does_not(run: Run) -> None:
    lost = "  - { at_s: 1, fault: { feed: lost } }\n"
    assert run(lost + "  - { wait_for: { event: feed_lost }, limit_s: 1 }\n").passed
    later = "  - { at_s: 2 }\n  - { wait_for: { event: feed_lost }, limit_s: 1 }\n"
    result = run(lost + later)
    (failure,) = result.failures
    assert failure.expected == "feed_lost, within 1 s"
    assert failure.actual == "no feed_lost: it came too early, at 1.000 s"


def test_a_first_step_can_wait_for_an_event(run: Run) -> None:
    late = "  - { wait_for: { event: took_off }, limit_s: 2 }\n"
    (failure,) = run(late).failures
    assert failure.actual == "no took_off"
    assert failure.time_s == pytest.approx(2.0)


def test_events_in_order_that_came_before_are_said_to_be_early(run: Run) -> None:
    steps = DOWN + (
        "  - { at_s: 2, in_order: [leg_unlocked nose, leg_locked_down nose], within_s: 8 }\n"
        "  - { at_s: 2, in_order: [leg_locked_down right, leg_locked_down nose], within_s: 8 }\n"
        "  - { at_s: 2, in_order: [leg_locked_down nose, leg_locked_down nose], within_s: 8 }\n"
    )
    failures = run(steps).failures
    assert [failure.actual for failure in failures] == [
        "no leg_unlocked (nose): it came too early, at 1.720 s",
        "leg_locked_down (right) at 8.520 s, then no leg_locked_down (nose): it came too early, "
        "at 6.920 s",
        "leg_locked_down (nose) at 6.920 s, then no leg_locked_down (nose)",
    ]


@pytest.mark.parametrize(
    ("exactly", "actual", "time_s"),
    [
        ("{ leg_unlocked: 3, leg_unlocked nose: 1, took_off: 0 }, for_s: 5", "", 0.0),
        ("{ leg_unlocked: 3 }", "", 0.0),
        ("{ leg_unlocked: 2 }", "leg_unlocked 3 times: at 1.720 s, 1.920 s, 1.920 s", 1.92),
        ("{ leg_unlocked nose: 0 }", "leg_unlocked (nose) once: at 1.720 s", 1.72),
        ("{ leg_unlocked: 4 }, for_s: 5", "leg_unlocked 3 times: at 1.720 s, 1.920 s, 1.920 s", 6),
        ("{ took_off: 1 }, for_s: 5", "took_off never", 6.0),
        ("{ leg_unlocked: 1 }, for_s: 0.8", "", 0.0),
    ],
)
def test_exactly_so_many(run: Run, exactly: str, actual: str, time_s: float) -> None:
    steps = f"  - {{ at_s: 1, move: {{ gear_handle: down }}, exactly: {exactly} }}\n"
    failures = run(steps, more="runs_for_s: 12\n").failures
    found = [(failure.actual, round(failure.time_s, 6)) for failure in failures]
    assert found == ([(actual, time_s)] if actual else [])


def test_on_boards_an_event_near_the_end_counts_as_it_fits() -> None:
    specs = signals_of(twin_jet())
    spot = Spot("x.yaml", 1, 1)

    def held(count: int, *times_s: float) -> bool:
        expectation = ExpectCount(EventPattern("took_off"), count, 5.0, spot, grace_s=0.2)
        monitor = CountMonitor(expectation, specs, 0.0)
        for time_s in times_s:
            if monitor.hear(Event(time_s, "took_off", Level.INFO, "x")) is not None:
                return False
        return monitor.expire(None).held is True  # type: ignore[arg-type]

    assert held(1, 3.0)
    assert held(2, 3.0, 5.1), "a late one may have been in time"
    assert held(1, 3.0, 4.9), "and one just before the end too late"
    assert held(1, 3.0, 5.1)
    assert not held(1, 3.0, 4.7)
    assert not held(3, 3.0, 5.1)


def test_waits_and_counts_on_boards(tmp_path: Path) -> None:
    steps = (
        "  - { at_s: 1, move: { gear_handle: up }, exactly: { leg_unlocked: 3 }, for_s: 6 }\n"
        "  - { wait_for: { event: leg_unlocked nose }, limit_s: 3 }\n"
        "  - { wait_for: { event: leg_unlocked nose }, limit_s: 1 }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    (failure,) = result.failures
    assert failure.actual.startswith("no leg_unlocked (nose): it came too early, at 1.")
    (passed,) = run_on_boards(write_scenario(tmp_path, steps.rpartition("  - ")[0]))
    assert passed.passed, passed.failures
