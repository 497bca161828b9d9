"""Faults and reasons through the link: what breaks on simulated boards, and what cannot."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

import pytest

from panelbridge.bench.boards.on_ports import board_bench
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import result_text
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.clock import Clock, VirtualClock
from panelbridge.engine.waiter import Waiter
from panelbridge.errors import ConfigError
from panelbridge.simboard import registry
from tests.bench.on_boards import DEMO, HERE, run_on_boards, write_scenario
from tests.bench.plain import plain_config


def _run(path: Path, ports: Sequence[str] = (HERE,), panel: Path | None = None) -> ScenarioResult:
    (result,) = run_on_boards(path, ports, panel)
    assert registry.names() == ()
    return result


# -- faults of simulated boards -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "broken", "mended"),
    [
        ("{ gear_handle: stuck }", "{ gear_handle: down, gear: locked_down }", "gear_handle"),
        ("{ gear_handle: dead }", "{ gear_handle: between }", "all"),
        ("{ gear_handle: contradictory }", "{ gear_handle: both, gear_command: none }", "all"),
    ],
)
def test_a_broken_switch(tmp_path: Path, fault: str, broken: str, mended: str) -> None:
    steps = (
        f"  - at_s: 1\n    fault: {fault}\n"
        "  - after_s: 1\n    move: { gear_handle: up }\n"
        f"  - after_s: 2\n    expect: {broken}\n"
        f"  - after_s: 1\n    clear: {mended}\n    expect: {{ gear_handle: up }}\n    within_s: 1\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


def test_a_knob_whose_wire_is_off(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    fault: { dimmer: dead }\n    expect: { dimmer: 0 }\n    within_s: 0.5\n"
        "  - after_s: 1\n    clear: dimmer\n    expect: { dimmer: 1 }\n    within_s: 0.5\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


def test_a_dead_lamp_is_dark_and_the_others_are_not(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    fault: { nose_green: dead }\n"
        "    expect: { nose_green: dark, left_green: lit, gear: locked_down }\n"
        "  - after_s: 1\n    clear: left_green\n    expect: { nose_green: dark }\n"
        "  - after_s: 1\n    clear: nose_green\n    expect: { greens: lit }\n"
        "  - after_s: 1\n    fault: { left_green: dead, right_green: dead }\n"
        "    expect: { left_green: dark, right_green: dark }\n"
        "  - after_s: 1\n    clear: all\n    expect: { greens: lit }\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


@pytest.mark.parametrize("name", ["board", "gear_panel"])
@pytest.mark.parametrize("cleared", ["all", "same"])
def test_a_board_unplugged_and_back(tmp_path: Path, name: str, cleared: str) -> None:
    cleared = name if cleared == "same" else cleared
    steps = (
        f"  - at_s: 1\n    fault: {{ {name}: unplugged }}\n"
        "    expect: { gear_handle: unknown, greens: dark }\n    within_s: 2\n"
        "    in_order: [board_lost gear_panel]\n"
        f"  - after_s: 3\n    clear: {cleared}\n"
        "    expect: { gear_handle: down, greens: lit }\n    within_s: 5\n"
    )
    result = _run(write_scenario(tmp_path, steps))
    assert result.failures == ()


def test_a_board_of_a_panel_that_is_given_only_now(tmp_path: Path) -> None:
    head = f"aircraft: {plain_config('aircraft/twin_jet.yaml').as_posix()}"
    steps = (
        "  - at_s: 1\n    fault: { board: unplugged }\n"
        "    expect: { gear_handle: unknown }\n    within_s: 2\n"
        "  - after_s: 3\n    clear: board\n    expect: { gear_handle: down }\n    within_s: 5\n"
    )
    assert _run(write_scenario(tmp_path, steps, head=head), panel=DEMO).failures == ()


class CutWaiter(Waiter):
    """Pulls the board's cable from outside, for good."""

    cuts_s: ClassVar[list[float]] = []
    """When, of each scenario in its turn."""

    def __init__(self, clock: Clock) -> None:
        super().__init__(clock)
        self._cut_s = self.cuts_s.pop(0)

    def wait(self, due_s: float, filenos: Sequence[int]) -> None:
        entry = registry.find("gear_panel")
        if entry is not None and entry.cable.plugged and self._clock.now() >= self._cut_s:
            entry.cable.unplug(self._clock.now())
        super().wait(due_s, filenos)


def test_a_board_that_is_gone_for_good_ends_its_scenario_soon(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_scenario(
        tmp_path,
        "  - at_s: 1\n    expect: { greens: lit }\n  - at_s: 60\n    expect: { greens: lit }\n",
    )
    monkeypatch.setattr(CutWaiter, "cuts_s", [10.0, 0.0])
    load, run = board_bench(
        [HERE], None, load_scenarios, make_clock=VirtualClock, make_waiter=CutWaiter
    )
    (plan,) = load(path)
    first = run(plan)
    (failure,) = first.failures
    assert failure.expected == "the boards stay connected"
    assert "lost for 7 s: board gear_panel on simboard://gear_panel: " in failure.actual
    assert failure.spot.line == 7
    assert first.trace.end_s < 20.0
    assert [one.spot.line for one in first.undecided] == [10]
    assert "expected      the boards stay connected" in result_text(first)
    # The next scenario does not wait for longer than a reconnect takes either, nor end the run.
    second = run(plan)
    assert [one.expected for one in second.failures] == ["the boards stay connected"]
    assert len(second.undecided) == 2
    assert registry.names() == ()


def test_a_board_that_the_scenario_has_unplugged_is_not_gone(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    fault: { board: unplugged }\n"
        "  - after_s: 30\n    clear: board\n    expect: { greens: lit }\n    within_s: 5\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


# -- faults that cannot be ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("{ left_leg: hung }", "the fault hung of 'left' is for the bench alone"),
        ("{ left_leg: contradictory }", "the fault contradictory of 'left' is for the bench"),
        ("{ gear_handle: bouncing }", "the fault bouncing of 'gear_handle' is for the bench"),
    ],
)
def test_what_no_board_offers_is_reported_before_anything_runs(
    tmp_path: Path, fault: str, words: str
) -> None:
    path = write_scenario(
        tmp_path, f"  - at_s: 1\n    fault: {fault}\n    expect: {{ greens: lit }}\n"
    )
    with pytest.raises(ConfigError) as caught:
        _run(path)
    (error,) = caught.value.problems
    assert error.what.startswith(words)
    assert error.line == 7
    assert "switches can be stuck, dead or contradictory" in error.hint


@pytest.mark.parametrize(
    ("fault", "thing"),
    [
        ("{ gear_handle: stuck }", "stuck of 'gear_handle'"),
        ("{ nose_green: dead }", "dead of 'nose_green'"),
        ("{ board: unplugged }", "unplugged of 'gear_panel'"),
    ],
)
def test_a_real_board_is_not_broken(tmp_path: Path, fault: str, thing: str) -> None:
    path = write_scenario(
        tmp_path, f"  - at_s: 1\n    fault: {fault}\n    expect: {{ greens: lit }}\n"
    )
    with pytest.raises(ConfigError) as caught:
        _run(path, ["COM5"])
    (error,) = caught.value.problems
    assert error.what == f"the fault {thing} needs a simulated board"
    assert error.hint == "'gear_panel' is a real one. Run it without --port"


def test_values_can_be_lost_on_a_real_board_too(tmp_path: Path) -> None:
    path = write_scenario(
        tmp_path, "  - at_s: 1\n    fault: { flap_deg: lost }\n    expect: { flap_deg: unknown }\n"
    )
    load, _ = board_bench(["COM5"], None, load_scenarios)
    assert len(load(path)) == 1


def test_what_the_panel_has_not_cannot_be_broken_there(tmp_path: Path) -> None:
    head = f"aircraft: {plain_config('aircraft/twin_jet.yaml').as_posix()}"
    path = write_scenario(
        tmp_path,
        "  - at_s: 1\n    fault: { gear_handle: contradictory, warning_test: dead }\n",
        head=head,
    )
    with pytest.raises(ConfigError) as caught:
        _run(path, ["simboard://x"], plain_config("panels/first_lamp.yaml"))
    assert [error.what for error in caught.value.problems] == [
        "the fault contradictory of 'gear_handle' is for the bench alone",
        "the fault dead of 'warning_test' is for the bench alone",
    ]


# -- reasons ------------------------------------------------------------------------------------


def test_a_failure_reports_the_reasons_of_the_running_logic(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    set: { throttles: 0 }\n"
        "  - after_s: 1\n    expect: { horn: continuous, nose_green_brightness: 9 }\n"
        "  - after_s: 1\n    move: { gear_handle: up }\n"
        "  - after_s: 2\n    expect: { nose_red: dark, steering_green: lit }\n"
    )
    result = _run(write_scenario(tmp_path, steps))
    first, second = result.failures
    assert first.reasons.keys() == {"horn", "nose_green"}
    assert ("nose leg locked down", True) in {
        (reason.condition, reason.holds) for reason in first.reasons["nose_green"]
    }
    assert second.reasons.keys() == {"nose_red", "steering_green"}
    reasons = {(reason.condition, reason.holds) for reason in second.reasons["nose_red"]}
    assert ("nose leg locked down", False) in reasons
    assert "because" in result_text(result)


def test_a_dead_lamp_and_a_lost_board_are_among_the_reasons(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    fault: { nose_green: dead }\n    expect: { greens: lit }\n"
        "  - after_s: 1\n    fault: { board: unplugged }\n"
        "  - after_s: 2\n    expect: { left_green: lit }\n"
    )
    dead, lost = _run(write_scenario(tmp_path, steps)).failures
    assert dead.reasons.keys() == {"nose_green"}
    assert dead.reasons["nose_green"][-1].condition == "nose_green lamp works"
    (reason,) = [r for r in lost.reasons["left_green"] if r.condition.startswith("board")]
    assert reason.condition == "board gear_panel connected"
    assert not reason.holds
    assert reason.detail


def test_a_wait_in_vain_reports_reasons_and_leaves_the_rest_undecided(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    expect: { greens: lit }\n    throughout_s: end\n"
        "  - wait_for: { nose_red: lit }\n    limit_s: 1\n    expect: { horn: silent }\n"
        "  - after_s: 1\n    expect: { greens: dark }\n"
    )
    result = _run(write_scenario(tmp_path, steps))
    (failure,) = result.failures
    assert failure.reasons.keys() == {"nose_red"}
    assert [one.spot.line for one in result.undecided] == [8, 12, 14]
    assert "not decided" in result_text(result)


def test_a_step_whose_time_has_passed_during_a_wait_fails(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    move: { gear_handle: up }\n"
        "  - wait_for: { gear: locked_up }\n    limit_s: 20\n"
        "  - at_s: 3\n    expect: { greens: dark }\n"
    )
    (failure,) = _run(write_scenario(tmp_path, steps)).failures
    assert failure.spot.line == 11
    assert failure.expected == "this step begins at 3 s"
    assert failure.actual.endswith("s only, after a wait")


def test_a_step_just_after_a_wait_is_forgiven(tmp_path: Path) -> None:
    """Real time sees what was waited for a little later than it came."""
    steps = (
        "  - at_s: 1\n    set: { flap_deg: 3 }\n"
        "  - wait_for: { flap_deg: 3 }\n    limit_s: 2\n"
        "  - at_s: 1\n    expect: { flap_deg: 3 }\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


def test_a_limit_on_a_board_is_reported_at_the_limit(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    expect: { horn: continuous }\n    within_s: 1\n"
        "  - at_s: 4\n    expect: { horn: silent }\n"
    )
    (failure,) = _run(write_scenario(tmp_path, steps)).failures
    assert failure.time_s == pytest.approx(2.15, abs=0.03)


# -- what real time forgives --------------------------------------------------------------------


def test_an_interval_begins_when_its_own_action_has_come_through(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    press: lamp_test\n    expect: { reds: lit }\n    throughout_s: 1\n"
        "  - at_s: 3\n    release: lamp_test\n    never: { reds: lit }\n    for_s: 1\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


def test_what_comes_after_an_interval_is_none_of_its_business(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    expect: { reds: dark }\n    throughout_s: 1\n"
        "  - at_s: 1\n    never: { reds: lit }\n    for_s: 1\n"
        "  - at_s: 2\n    press: lamp_test\n    expect: { reds: lit }\n    within_s: 0.3\n"
    )
    assert _run(write_scenario(tmp_path, steps)).failures == ()


def test_what_comes_within_an_interval_fails_it(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    expect: { reds: dark }\n    throughout_s: 3\n"
        "  - at_s: 1\n    never: { reds: lit }\n    for_s: 3\n"
        "  - at_s: 2\n    press: lamp_test\n"
    )
    result = _run(write_scenario(tmp_path, steps))
    assert [failure.spot.line for failure in result.failures] == [8, 11]
    assert all(2.0 < failure.time_s < 2.3 for failure in result.failures)


def test_what_was_before_the_scenario_is_not_reported(tmp_path: Path) -> None:
    result = _run(write_scenario(tmp_path, "  - at_s: 1\n    expect: { horn: continuous }\n"))
    (failure,) = result.failures
    assert failure.events == ()
    assert result.trace.events == []
    assert result.trace.samples[0].time_s > 0.0


def test_what_a_step_before_set_off_is_not_heard_again(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    press: lamp_test\n    in_order: [lamp_test_started]\n    within_s: 1\n"
        "  - at_s: 3\n    in_order: [lamp_test_started]\n    within_s: 1\n"
    )
    (failure,) = _run(write_scenario(tmp_path, steps)).failures
    assert failure.spot.line == 12
    assert failure.actual == "no lamp_test_started: it came too early, at 1.020 s"


def test_what_is_expected_is_reported_as_it_is_written(tmp_path: Path) -> None:
    steps = "  - at_s: 1\n    expect: { horn: continuous }\n    within_s: 1\n"
    (failure,) = _run(write_scenario(tmp_path, steps)).failures
    assert failure.expected == "horn is continuous, within 1 s", "without the grace"
