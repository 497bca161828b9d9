"""Legs that start anywhere in their travel.

Conserved: a leg that starts at x is at x at 0 s and takes (1 - x) of its time down, x of it up. By
hand for the plain jet, nose: 5.2 s down; at 0.5 with the handle down it is locked at 2.6 s.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.errors import ConfigError, LogicError
from panelbridge.logic.panel_logic import PanelLogic
from tests.bench.jet import jet
from tests.bench.made import Run, twin_jet
from tests.bench.on_boards import run_on_boards, write_scenario
from tests.examples import examples

NOSE = next(leg for leg in twin_jet().legs if leg.name == "nose")


def event_s(result: ScenarioResult, name: str, subject: str) -> float:
    return next(e.time_s for e in result.trace.events if (e.name, e.subject) == (name, subject))


def test_by_hand(run: Run) -> None:
    assert (NOSE.extend_s, NOSE.retract_s) == (5.2, 6.0)
    steps = "  - { expect: { nose_travel: 0.5, nose_leg: extending, left_leg: down_locked } }\n"
    result = run(steps, "final approach", "legs: { nose: 0.5 }\nruns_for_s: 4\n")
    assert result.passed, result.failures
    assert event_s(result, "leg_locked_down", "nose") == pytest.approx(2.6)


@settings(max_examples=examples(25), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(travel=st.floats(0.01, 0.99), down=st.booleans())
def test_law_the_rest_of_the_way_takes_the_rest_of_the_time(
    run: Run, travel: float, down: bool
) -> None:
    start = "final approach" if down else "cruise clean"
    result = run("  - note: x\n", start, f"legs: {{ nose: {travel} }}\nruns_for_s: 7\n")
    assert result.passed, result.failures
    name = "leg_locked_down" if down else "leg_locked_up"
    rest_s = (1 - travel) * NOSE.extend_s if down else travel * NOSE.retract_s
    assert event_s(result, name, "nose") == pytest.approx(rest_s)
    assert not [e for e in result.trace.events if e.subject in ("left", "right")]


def test_locks_against_the_handle(run: Run) -> None:
    """Found there, not moved there: no event says that they were unlocked from elsewhere."""
    steps = (
        "  - { expect: { nose_leg: unlocking_to_retract, left_leg: up_locked, nose_green: lit } }\n"
        "  - { wait_for: { gear: locked_up }, limit_s: 9 }\n"
    )
    result = run(steps, more="legs: { nose: down_locked, left: up_locked, right: 0 }\n")
    assert result.passed, result.failures
    about = {(e.name, e.subject) for e in result.trace.events if e.subject}
    assert about == {("leg_unlocked", "nose"), ("leg_locked_up", "nose")}


def test_one_leg_alone_at_its_other_lock(run: Run) -> None:
    expected = "  - { expect: { left_leg: unlocking_to_extend, nose_leg: down_locked } }\n"
    result = run(expected, "final approach", "legs: { left: up_locked }\n")
    assert result.passed, result.failures


def test_a_leg_on_its_way_has_its_door_open(tmp_path: Path) -> None:
    """A leg with a closed door does not move; here nothing holds it up."""
    steps = (
        "  - { expect: { nose_travel: 0.3, nose_door: open, left_door: closed } }\n"
        "  - { wait_for: { gear: locked_up }, limit_s: 15 }\n"
    )
    more = "legs: { nose: 0.3 }\nset: { struts: extended, simulator_handle: up }\n"
    result = jet(tmp_path, steps, more)
    assert result.passed, result.failures


def test_without_power_a_leg_stands_where_it_starts(tmp_path: Path) -> None:
    steps = (
        "  - { fault: { gear_power: failed } }\n"
        "  - { expect: { nose_travel: 0.3, nose_leg: stopped }, throughout_s: 20 }\n"
    )
    more = "legs: { nose: 0.3 }\nset: { struts: extended, simulator_handle: up }\n"
    result = jet(tmp_path, steps, more)
    assert result.passed, result.failures


def test_on_boards_it_is_refused_in_words(tmp_path: Path) -> None:
    path = write_scenario(tmp_path, "  - note: x\n")
    text = path.read_text("utf-8").replace("steps:", "legs: { nose: 0.5 }\nsteps:")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match="'legs' is for the bench alone"):
        run_on_boards(path)


def test_there_is_no_such_leg() -> None:
    with pytest.raises(LogicError, match="no part of the model is named 'tail'"):
        PanelLogic(twin_jet()).place(0.0, "tail", 0.5)
