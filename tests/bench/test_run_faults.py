"""What a run must not miss: travel of legs, what is found again, order, laws within a run."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.signals import Commands, GearPosition, LegLocks, LegState
from tests.bench.made import Run, having, having_legs

DOWN = "  - { at_s: 1, move: { gear_handle: down } }\n"


def test_a_check_sees_the_travel_of_its_own_instant(run: Run) -> None:
    # Contact made at 1.32 s, unlocked 0.4 s later, 5.2 s of travel: 0.246 at 3 s.
    wanted = "{ nose_travel: { above: 0.24, below: 0.25 } }"
    result = run(f"{DOWN}  - {{ at_s: 3, expect: {wanted} }}\n")
    assert result.passed, result.failures


def test_a_step_can_wait_for_a_leg_on_its_way(run: Run) -> None:
    result = run(f"{DOWN}  - {{ wait_for: {{ nose_travel: {{ above: 0.5 }} }}, limit_s: 20 }}\n")
    assert result.passed, result.failures
    assert 4.32 < result.trace.end_s <= 4.32 + 0.11


@pytest.mark.parametrize(
    ("fault", "mended", "found"),
    [
        ("feed: lost", "feed", "{ airspeed_kias: { above: 1 }, flap_deg: 0 }"),
        ("airspeed_kias: lost", "airspeed_kias", "{ airspeed_kias: { above: 1 } }"),
        ("board: unplugged", "board", "{ gear_handle: up }"),
    ],
)
def test_what_is_mended_is_known_again(run: Run, fault: str, mended: str, found: str) -> None:
    unknown = "{ gear_handle: unknown }" if mended == "board" else "{ airspeed_kias: unknown }"
    result = run(
        f"  - {{ at_s: 1, fault: {{ {fault} }}, expect: {unknown} }}\n"
        f"  - {{ at_s: 3, clear: {mended}, expect: {found} }}\n"
    )
    assert result.passed, result.failures


def test_an_order_distinguishes_the_legs(run: Run) -> None:
    right_first = "in_order: [leg_locked_down right, leg_locked_down nose], within_s: 12"
    (failure,) = run(f"  - {{ at_s: 1, move: {{ gear_handle: down }}, {right_first} }}\n").failures
    assert failure.time_s == pytest.approx(13.0)
    assert failure.actual == (
        "leg_locked_down (right) at 8.520 s, then no leg_locked_down (nose): it came too early, "
        "at 6.920 s"
    )


def test_a_brightness_and_the_sounding_are_explained(run: Run) -> None:
    result = run("  - { at_s: 1, expect: { nose_green_brightness: 9, horn_sounding: true } }\n")
    (failure,) = result.failures
    assert set(failure.reasons) == {"nose_green", "horn"}
    assert all(failure.reasons.values())


def test_marks_are_by_time(run: Run) -> None:
    times = [mark.time_s for mark in run(f"{DOWN}  - {{ at_s: 3, set: {{}} }}\n").trace.marks]
    assert times == [1.0, 3.0]


def test_a_limit_is_reported_at_its_own_time_though_nothing_else_is_due(run: Run) -> None:
    late = "{ at_s: 1, expect: { horn: continuous }, within_s: 2 }"
    (failure,) = run(f"  - {late}\n  - {{ at_s: 9, set: {{ flap_deg: 1 }} }}\n").failures
    assert failure.time_s == pytest.approx(3.0)


def test_a_run_holds_its_samples_against_the_laws(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(LawWatch, "look", lambda self, sample: iter([("a law", "broken")]))
    result = run("  - { at_s: 1, set: { throttles: 0.6 } }\n")
    assert result.failures
    assert {(one.expected, one.actual) for one in result.failures} == {("a law", "broken")}


def test_a_command_that_stands_is_reported_once_and_a_start_is_no_jump(run: Run) -> None:
    sample = run("  - { at_s: 1, expect: { gear: locked_down } }\n", "parked").trace.samples[-1]
    raised = having(sample, commands=Commands(gear=GearPosition.UP))
    watch = LawWatch(sample, ("nose", "left", "right"))
    assert [len(list(watch.look(raised))), len(list(watch.look(raised)))] == [3, 0]
    legs = [
        replace(leg, state=LegState.UP_LOCKED, locks=LegLocks(True, False))
        for leg in sample[GearFacts].legs
    ]
    dark = replace(sample.shown.outputs, lamps=dict.fromkeys(sample.shown.outputs.lamps, 0))
    later, start = (having_legs(sample, legs, time_s=at_s, outputs=dark) for at_s in (2.0, 0.0))
    assert len(list(LawWatch(sample, ("nose", "left", "right")).look(later))) == 3
    assert not list(LawWatch(sample, ("nose", "left", "right")).look(start))
