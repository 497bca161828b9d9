"""Scenarios through the link: on simulated boards, and on boards whose switches a person moves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from panelbridge.bench.boards import panel_on_boards
from panelbridge.bench.boards.on_ports import run_scenario_on_board
from panelbridge.bench.boards.panel_on_boards import accepted_outputs
from panelbridge.bench.boards.watch import GRACE_S, with_grace
from panelbridge.bench.command import bench_command
from panelbridge.bench.language.expectations import (
    EventPattern,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
    Spot,
)
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.waiter import Waiter
from panelbridge.errors import ConfigError, UsageError
from panelbridge.link.ports.frame_port import Frame
from panelbridge.link.session import SetupPlan
from panelbridge.link.wire import Command, Report
from panelbridge.logic.kit.conditions import Compare, Comparison
from panelbridge.simboard.sim_panel import SimPanel
from tests.bench.on_boards import DEMO, HERE, run_on_boards, write_scenario
from tests.bench.plain import plain_config
from tests.examples import few_of

SHIPPED_DEMO = shipped_config("panels/demo_panel.yaml")
EXAMPLES = sorted(shipped_config("scenarios/examples/first_scenario.yaml").parent.glob("*.yaml"))


# -- simulated boards -------------------------------------------------------------------------


@pytest.mark.parametrize("path", few_of(EXAMPLES, 2), ids=lambda path: str(path.stem))
def test_the_examples_hold_on_a_simulated_board_too(path: Path) -> None:
    if "faults" in path.stem or path.stem == "legs":
        with pytest.raises(ConfigError, match="is for the bench alone"):
            run_on_boards(path, panel=SHIPPED_DEMO)
        return
    for result in run_on_boards(path, panel=SHIPPED_DEMO):
        assert result.failures == ()
        assert result.trace.samples


def test_a_wrong_expectation_fails_with_place_time_and_what_was(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    expect: { greens: lit }\n"
        "  - after_s: 1\n    move: { gear_handle: up }\n"
        "  - after_s: 2\n    expect: { nose_green: lit }\n"
        "  - after_s: 1\n    expect: { nose_red: dark }\n    throughout_s: 1\n"
        "  - after_s: 0\n    in_order: [leg_locked_up nose, leg_unlocked nose]\n    within_s: 9\n"
        "  - after_s: 0\n    never: { airspeed_kias: { above: 10 } }\n    for_s: 1\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    reported = {failure.spot.line: failure.actual for failure in result.failures}
    assert reported.keys() == {12, 14, 17, 20}
    assert reported[12] == "nose_green is dark"
    assert reported[14] == "nose_red is lit"
    assert "then no leg_unlocked (nose)" in reported[17]
    assert reported[20].startswith("airspeed_kias is ")
    first = result.failures[0]
    assert 4.0 < first.time_s < 4.0 + 2 * GRACE_S
    assert any("unlocked" in line for line in first.events)


def test_a_condition_that_never_comes_ends_the_scenario(tmp_path: Path) -> None:
    steps = (
        "  - wait_for: { gear: locked_up }\n    limit_s: 2\n    expect: { greens: dark }\n"
        "  - after_s: 1\n    expect: { horn: continuous }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    (failure,) = result.failures
    assert failure.expected == "gear is locked_up, within 2 s"
    assert failure.actual == "gear is locked_down"
    assert 2.0 + GRACE_S < failure.time_s < 2.3


def test_what_was_before_an_action_is_not_what_a_step_waited_for(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    set: { airspeed_kias: 90 }\n"
        "  - wait_for: { airspeed_kias: { above: 100 } }\n    limit_s: 0.5\n"
        "    expect: { greens: lit }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    assert [failure.actual for failure in result.failures] == ["airspeed_kias is 90 kt"]


def test_what_is_expected_now_is_decided_before_the_next_step(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    set: { flap_deg: 1 }\n    expect: { flap_deg: 1 }\n"
        "  - after_s: 0\n    set: { flap_deg: 2 }\n    expect: { flap_deg: 2 }\n"
        "  - after_s: 0\n    set: { flap_deg: 3 }\n    expect: { flap_deg: 3 }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    assert result.failures == ()
    assert result.trace.end_s < 2.0


def test_lamps_are_those_that_the_pins_drive(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(panel: SimPanel) -> dict[str, int]:
        return dict.fromkeys(panel.panel.lamps, 0)

    monkeypatch.setattr(SimPanel, "lamps", broken)
    (result,) = run_on_boards(
        write_scenario(tmp_path, "  - at_s: 1\n    expect: { nose_green: lit }\n")
    )
    assert [failure.actual for failure in result.failures] == ["nose_green is dark"]


def test_the_feed_can_be_lost_and_found(tmp_path: Path) -> None:
    steps = (
        "  - at_s: 1\n    fault: { airspeed_kias: lost }\n    expect: { airspeed_kias: unknown }\n"
        "  - after_s: 1\n    fault: { feed: lost }\n    expect: { flap_deg: unknown }\n"
        "  - after_s: 1\n    clear: feed\n"
        "    expect: { airspeed_kias: unknown, flap_deg: { above: 1 } }\n"
        "  - after_s: 1\n    clear: all\n    expect: { airspeed_kias: { above: 50 } }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    assert result.failures == ()
    names = [event.name for event in result.trace.events]
    assert names.count("feed_lost") == names.count("feed_found") == 1


def test_a_missing_board_is_reported_with_its_port(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(panel_on_boards, "is_in_process", lambda url: False)
    path = write_scenario(tmp_path, "  - at_s: 1\n    expect: { greens: lit }\n")
    with pytest.raises(UsageError, match=r"no board within 20 s\n.*board gear_panel on simboard"):
        run_on_boards(path)


# -- a person ---------------------------------------------------------------------------------


class Person:
    """Has hands on a panel that the bench knows as a real one.

    Args:
        does: moves what it is asked for; gets the panel, the time and the words.
    """

    def __init__(self, does: Callable[[SimPanel, float, str], None]) -> None:
        self.clock = VirtualClock()
        self.panel = SimPanel(load_panel(DEMO).panel, now_s=0.0)
        self.asked: list[str] = []
        self._does = does

    def __call__(self, text: str) -> None:
        self.asked.append(text)
        self._does(self.panel, self.clock.now(), text)


def _run_with(person: Person, path: Path, monkeypatch: pytest.MonkeyPatch) -> ScenarioResult:
    monkeypatch.setattr(panel_on_boards, "is_in_process", lambda url: False)
    (plan,) = load_scenarios(path)
    with person.panel:
        urls = person.panel.register(person.clock)
        return run_scenario_on_board(plan, urls, person.clock, Waiter(person.clock), person)


def _obeys(panel: SimPanel, now_s: float, text: str) -> None:
    if "gear handle" in text:
        panel.move(now_s, "gear_handle", "up" if "UP" in text else "down")
    elif "lamp test" in text:
        panel.move(now_s, "lamp_test", "pressed" if "press" in text else "released")
    else:
        assert "dimmer" in text
        panel.move(now_s, "dimmer", 0.52)


PERSON_STEPS = """\
  - at_s: 1
    move: { gear_handle: up }
    expect: { gear: not_locked }
    within_s: 1
  - at_s: 1.5
    in_order: [leg_locked_up nose, gear_locked_up]
    within_s: 9
  - wait_for: { gear: locked_up }
    limit_s: 12
    press: lamp_test
    expect: { greens: lit, reds: lit, horn_sounding: true }
  - after_s: 0.5
    release: lamp_test
    move: { dimmer: 0.5 }
    expect: { greens: dark, dimmer: { above: 0.45, below: 0.55 } }
"""


def test_a_person_is_asked_and_the_scenario_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(_obeys)
    result = _run_with(person, write_scenario(tmp_path, PERSON_STEPS), monkeypatch)
    assert result.failures == ()
    assert [text.split(":")[0] for text in person.asked] == [
        ">>> move UP",
        ">>> press and hold",
        ">>> release",
        ">>> put to 0.5",
    ]
    assert all(text.endswith(", within 30 s") for text in person.asked)


def test_switches_that_are_not_where_they_start_are_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(_obeys)
    steps = "  - at_s: 1\n    expect: { gear: locked_up, greens: dark, gear_agrees: true }\n"
    result = _run_with(person, write_scenario(tmp_path, steps, start="cruise clean"), monkeypatch)
    assert result.failures == ()
    assert len(person.asked) == 1
    assert person.asked[0].startswith(">>> move UP: ")


def test_what_a_hand_sets_off_while_it_is_waited_for_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = (
        "  - at_s: 1\n    press: lamp_test\n    in_order: [lamp_test_started]\n    within_s: 0.01\n"
    )
    result = _run_with(Person(_obeys), write_scenario(tmp_path, steps), monkeypatch)
    assert result.failures == ()


def test_time_stands_still_while_a_person_thinks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(panel: SimPanel, now_s: float, text: str) -> None:
        person.clock.advance(20.0)
        _obeys(panel, person.clock.now(), text)

    person = Person(slow)
    steps = (
        "  - ramp: { to: { airspeed_kias: 150 }, over_s: 4 }\n"
        "  - at_s: 1\n    press: lamp_test\n"
        "  - at_s: 2\n    expect: { airspeed_kias: { below: 149 } }\n"
        "  - at_s: 5\n    expect: { airspeed_kias: 150 }\n"
    )
    result = _run_with(person, write_scenario(tmp_path, steps), monkeypatch)
    assert person.asked
    assert [failure.actual for failure in result.failures] == []
    assert result.trace.end_s < 6.0


def test_a_person_who_does_nothing_fails_the_scenario(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(lambda panel, now_s, text: None)
    result = _run_with(person, write_scenario(tmp_path, PERSON_STEPS), monkeypatch)
    (failure,) = result.failures
    assert failure.expected.startswith("move UP: ")
    assert failure.actual == "gear_handle is down"
    assert failure.spot.line == 7
    assert person.clock.now() > 30.0


def test_a_lever_far_from_where_it_was_asked_to_be_does_not_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(lambda panel, now_s, text: panel.move(now_s, "dimmer", 0.6))
    steps = "  - at_s: 1\n    move: { dimmer: 0.5 }\n    expect: { greens: lit }\n"
    result = _run_with(person, write_scenario(tmp_path, steps), monkeypatch)
    (failure,) = result.failures
    assert failure.expected.startswith("put to 0.5: ")
    assert failure.actual.startswith("dimmer is 0.6")


# -- what cannot be --------------------------------------------------------------------------


def test_a_board_needs_a_panel(tmp_path: Path) -> None:
    aircraft = f"aircraft: {plain_config('aircraft/twin_jet.yaml').as_posix()}"
    path = write_scenario(tmp_path, "  - expect: { greens: lit }\n", head=aircraft)
    with pytest.raises(ConfigError, match=r"scenario.yaml:7:5: this scenario names no panel"):
        run_on_boards(path)
    (result,) = run_on_boards(path, panel=DEMO)
    assert result.passed


def test_the_panel_must_be_for_the_same_aircraft(tmp_path: Path) -> None:
    text = plain_config("aircraft/twin_jet.yaml").read_text("utf-8")
    assert text.count("\nengines: 2\n") + text.count("\nengines: 2 ") == 1
    other = tmp_path / "other.yaml"
    other.write_text(text.replace("\nengines: 2", "\nengines: 3"), encoding="utf-8")
    path = write_scenario(tmp_path, "  - expect: { greens: lit }\n", head="aircraft: other.yaml")
    with pytest.raises(UsageError, match="for another aircraft"):
        run_on_boards(path, panel=DEMO)


def test_what_the_panel_lacks_is_reported_before_it_starts(tmp_path: Path) -> None:
    aircraft = f"aircraft: {plain_config('aircraft/twin_jet.yaml').as_posix()}"
    steps = "  - press: warning_test\n    expect: { handle_red: lit }\n    within_s: 1\n"
    path = write_scenario(tmp_path, steps, head=aircraft)
    with pytest.raises(ConfigError) as caught:
        run_on_boards(path, panel=plain_config("panels/first_lamp.yaml"))
    words = [error.what for error in caught.value.problems]
    assert words == ["the panel has no switch 'warning_test'", "the panel has no 'handle_red'"]


# -- parts ------------------------------------------------------------------------------------


def test_a_board_shows_what_it_has_accepted() -> None:
    plan = SetupPlan.of(load_panel(DEMO).panel, "gear_panel")
    idle = dict(zip(plan.outputs, plan.idle_values, strict=True))
    frames: list[Frame] = []
    assert accepted_outputs(plan, frames) == idle
    count = len(plan.outputs)
    for sequence, level in ((1, 10), (2, 20)):
        values = tuple([level] * (count - 2) + [1, 1500])
        frames.append((0.0, ">", Command(7, sequence, 0, values).pack(plan.shape)))
    assert accepted_outputs(plan, frames) == idle  # sent is not accepted

    def report(session: int, named: int) -> Frame:
        analogues = (0,) * plan.shape.analogues
        message = Report(session, 1, named, 0, 0, 0, 0, analogues).pack(plan.shape)
        return (0.0, "<", message)

    frames.append(report(8, 2))  # of another session
    assert accepted_outputs(plan, frames) == idle
    frames.append(report(7, 1))
    assert accepted_outputs(plan, frames)["nose_green"] == 10
    frames.append(report(7, 2))
    assert accepted_outputs(plan, frames)["nose_green"] == 20
    frames.append((0.0, "<", report(7, 1)[2][:5]))  # malformed: the one before it counts
    assert accepted_outputs(plan, frames)["nose_green"] == 20
    assert accepted_outputs(plan, ()) == idle  # not live


def test_the_grace_of_each_expectation() -> None:
    spot = Spot("x", 1, 1)
    lit = Compare("nose_green", Comparison.IS, "lit")
    assert with_grace(ExpectNow(lit, spot)) == ExpectWithin(lit, GRACE_S, spot)
    assert with_grace(ExpectWithin(lit, 2.0, spot)) == ExpectWithin(lit, 2.0 + GRACE_S, spot)
    order = ExpectOrder((EventPattern("x"),), 1.0, spot)
    assert with_grace(order) == ExpectOrder((EventPattern("x"),), 1.0 + GRACE_S, spot)
    assert with_grace(ExpectThroughout(lit, 3.0, spot)) == ExpectThroughout(
        lit, 3.0 - GRACE_S, spot
    )
    assert with_grace(ExpectNever(lit, 0.1, spot)) == ExpectNever(lit, 0.3, spot)
    silence: Any = ExpectSilence("x", 3.0, spot)
    assert with_grace(silence) is silence


def test_the_command_runs_it_in_real_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_scenario(tmp_path, "  - after_s: 0.1\n    expect: { greens: lit }\n")
    assert bench_command([path], port=[HERE]) == 0
    out = capsys.readouterr().out
    assert out.startswith("passed  On a board")
    assert out.endswith("s of real time\n")
