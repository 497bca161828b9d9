"""Running scenarios: what is done when, and what becomes of each expectation."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.trace import Sample, ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.load import load_aircraft
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS
from panelbridge.signals import Commands, GearPosition, LegLocks, LegState
from tests.bench.made import Run, having, having_legs, recorded
from tests.bench.plain import plain_config

CONFIGS = Path(__file__).parent.parent.parent / "configs"
SCENARIOS = CONFIGS / "scenarios"
AIRCRAFT = plain_config("aircraft/twin_jet.yaml")
TWIN = load_aircraft(AIRCRAFT)


def only_failure(result: ScenarioResult) -> Failure:
    assert len(result.failures) == 1, result.failures
    return result.failures[0]


def test_two_runs_are_the_same() -> None:
    for plan in load_scenarios(SCENARIOS / "examples" / "include.yaml"):
        first, second = run_scenario(plan), run_scenario(plan)
        assert recorded(first) == recorded(second)
        assert first.trace.events == second.trace.events
        assert first.trace.marks == second.trace.marks


def test_a_leg_locks_at_its_very_time(run: Run) -> None:
    """Hand on the handle, its travel, debouncing, unlocking, travel: each to the microsecond."""
    result = run(
        "  - { at_s: 1, move: { gear_handle: down } }\n  - { wait_for: { gear: locked_down } }"
    )
    moved = next(h for h in result.trace.events if h.name == "gear_handle_moved_down")
    for leg in TWIN.legs:
        locked = next(
            h for h in result.trace.events if h.name == "leg_locked_down" and h.subject == leg.name
        )
        assert locked.time_s == pytest.approx(moved.time_s + leg.unlock_s + leg.extend_s, abs=1e-9)
    assert result.trace.end_s == pytest.approx(
        moved.time_s + max(leg.unlock_s + leg.extend_s for leg in TWIN.legs), abs=1e-9
    )


def test_a_wrong_expectation_of_now_reports_all(run: Run) -> None:
    failure = only_failure(
        run(
            "  - { at_s: 2, set: { throttles: 0 } }\n"
            "  - { after_s: 3, push: horn_silence }\n"
            "  - { after_s: 1, expect: { horn: continuous } }\n"
        )
    )
    assert (failure.spot.line, failure.spot.column) == (9, 19)
    assert failure.time_s == pytest.approx(6.2)  # counted from the release of the push
    assert failure.expected == "horn is continuous"
    assert failure.actual == "horn is silent"
    assert [line.split("s  ")[1] for line in failure.events] == [
        "the horn sounds: throttle closed and gear not locked down",
        "the horn was silenced",
    ]
    named = {reason.condition: reason.holds for reason in failure.reasons["horn"]}
    assert named["throttle warning silenced"] is True
    assert named["lever 1 closed"] is True


def test_within_fails_when_its_limit_has_passed(run: Run) -> None:
    failure = only_failure(run("  - { at_s: 1, expect: { gear: locked_down }, within_s: 4 }\n"))
    assert failure.time_s == pytest.approx(5.0)
    assert failure.expected == "gear is locked_down, within 4 s"
    assert failure.actual == "gear is locked_up"


@pytest.mark.parametrize(("limit_s", "passes"), [(0.15, True), (0.149, False)])
def test_the_limit_itself_counts_as_met(run: Run, limit_s: float, passes: bool) -> None:
    """A lever that closes settles after exactly throttle_settle_s."""
    assert TWIN.gear_warning.throttle_settle_s == 0.15
    steps = (
        "  - { at_s: 1, set: { throttle_1: 0 }, expect: { horn_sounding: true },"
        f" within_s: {limit_s} }}\n  - {{ after_s: 5, expect: {{ horn_sounding: true }} }}\n"
    )
    assert run(steps).passed is passes


@pytest.mark.parametrize(("for_s", "passes"), [(0.15, True), (0.151, False)])
def test_an_interval_ends_just_before_its_end(run: Run, for_s: float, passes: bool) -> None:
    steps = (
        "  - { at_s: 1, set: { throttle_1: 0 }, expect: { horn: silent },"
        f" throughout_s: {for_s} }}\n  - {{ after_s: 5, expect: {{ horn_sounding: true }} }}\n"
    )
    assert run(steps).passed is passes


def test_never_reports_when_it_came(run: Run) -> None:
    failure = only_failure(
        run(
            "  - { never: { event: horn_sounded } }\n  - { at_s: 2, set: { throttle_2: 0 } }\n",
            more="runs_for_s: 5\n",
        )
    )
    assert failure.time_s == pytest.approx(2.15)
    assert failure.expected == "never horn_sounded, throughout, to the end"
    assert failure.actual.startswith("horn_sounded: 2.150 s")


def test_an_order_reports_what_did_not_come(run: Run) -> None:
    steps = (
        "  - { at_s: 1, move: { gear_handle: down },"
        " in_order: [leg_unlocked nose, gear_locked_up], within_s: 20 }\n"
    )
    failure = only_failure(run(steps))
    assert failure.expected == "leg_unlocked (nose), then gear_locked_up, within 20 s"
    assert failure.actual.endswith("then no gear_locked_up")


def test_a_wait_in_vain_ends_the_scenario(run: Run) -> None:
    result = run(
        "  - { wait_for: { gear: locked_down }, limit_s: 3 }\n"
        "  - { after_s: 1, expect: { horn: continuous } }\n"
    )
    failure = only_failure(result)
    assert failure.expected == "gear is locked_down, within 3 s"
    assert result.trace.end_s == pytest.approx(3.0)


def test_a_ramp_is_straight_and_ends_at_its_target(run: Run) -> None:
    result = run(
        "  - { at_s: 1, set: { airspeed_kias: 200 } }\n"
        "  - { after_s: 0, ramp: { to: { airspeed_kias: 100 }, over_s: 10 } }\n"
        "  - { after_s: 12, expect: { airspeed_kias: 100 } }\n"
    )
    assert result.passed
    for sample in result.trace.samples:
        if 1.0 <= sample.time_s <= 11.0:
            wanted = 200.0 - 10.0 * (sample.time_s - 1.0)
            assert sample[AIRSPEED_KIAS] == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        ("{ gear_handle: stuck }", "{ gear_handle: up, gear_command: up }"),
        ("{ gear_handle: contradictory }", "{ gear_handle: both, gear_command: none }"),
        ("{ gear_handle: dead }", "{ gear_handle: between, gear_command: none }"),
        ("{ nose_leg: hung }", "{ nose_leg: extending, nose_green: dark, left_green: lit }"),
        ("{ left_leg: contradictory }", "{ left_green: dark, left_red: lit, nose_green: lit }"),
        ("{ nose_green: dead }", "{ nose_green: dark, left_green: lit, gear: locked_down }"),
        ("{ airspeed_kias: lost }", "{ airspeed_kias: unknown, gear: locked_down }"),
        ("{ feed: lost }", "{ altitude_ft: unknown, flap_deg: unknown }"),
    ],
)
def test_a_fault_does_what_it_says(run: Run, fault: str, expected: str) -> None:
    result = run(
        f"  - {{ at_s: 1, fault: {fault}, move: {{ gear_handle: down }} }}\n"
        f"  - {{ at_s: 12, expect: {expected} }}\n"
    )
    assert result.passed, result.failures


def test_a_mended_switch_works_again(run: Run) -> None:
    result = run(
        "  - { at_s: 1, fault: { gear_handle: stuck }, move: { gear_handle: down } }\n"
        "  - { at_s: 4, expect: { gear: locked_up }, clear: all }\n"
        "  - { after_s: 1, move: { gear_handle: up } }\n"
        "  - { after_s: 1, move: { gear_handle: down } }\n"
        "  - { after_s: 10, expect: { gear: locked_down } }\n"
    )
    assert result.passed, result.failures


# -- laws -----------------------------------------------------------------------------------------


def sample_of(result: ScenarioResult) -> Sample:
    return result.trace.samples[-1]


def test_the_laws_hold_in_a_good_run_and_break_in_a_bad_one(run: Run) -> None:
    down = sample_of(run("  - { at_s: 1, expect: { gear: locked_down } }\n", "parked"))
    raised = having(down, commands=Commands(gear=GearPosition.UP))
    broken = list(LawWatch(down, TWIN.leg_names).look(raised))
    assert len(broken) == 3
    assert broken[0][1] == "gear_command is up, weight on the nose strut"

    leg, *others = down[GearFacts].legs
    open_leg = replace(leg, state=LegState.RETRACTING, locks=LegLocks(False, False))
    moving = having_legs(down, [open_leg, *others])
    broken = list(LawWatch(moving, TWIN.leg_names).look(moving))
    assert [actual for _, actual in broken] == ["nose_green is lit, the nose leg is retracting"]

    jumped = replace(leg, state=LegState.UP_LOCKED, locks=LegLocks(True, False))
    outputs = down.shown.outputs
    dark = replace(outputs, lamps={**outputs.lamps, "nose_green": 0})
    later = having_legs(down, [jumped, *others], time_s=2.0, outputs=dark)
    broken = list(LawWatch(down, TWIN.leg_names).look(later))
    assert [actual for _, actual in broken] == ["the nose leg went from down locked to up locked"]
