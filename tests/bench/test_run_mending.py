"""Faults for a time, and values that stay as they are.

By hand: a handle that is stuck for 2 s from 1 s on and moved at once is up at 2.9 s and on its way
to down right after 3 s; a squat switch stuck for 2 s is what it was until 3 s.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.plan import ClearFault, FaultKind, SetFault
from panelbridge.bench.world.runner import Mending
from tests.bench.made import Run
from tests.bench.on_boards import run_on_boards, write_scenario

STUCK = (
    "  - { at_s: 1, fault: { gear_handle: { how: stuck, for_s: 2 } },"
    " move: { gear_handle: down } }\n"
)
LOOKS = (
    "  - { at_s: 2.9, expect: { gear_handle: up } }\n"
    "  - { at_s: 3, expect: { gear_handle: down }, within_s: 0.6 }\n"
)


def test_a_fault_mends_itself_at_its_time(run: Run) -> None:
    result = run(STUCK + LOOKS)
    assert result.passed, result.failures
    assert not run(STUCK.replace("for_s: 2", "for_s: 20") + LOOKS).passed
    assert not run(STUCK.replace("for_s: 2", "for_s: 1") + LOOKS).passed


def test_on_a_simulated_board_too(tmp_path: Path) -> None:
    steps = (
        "  - { at_s: 1, fault: { gear_handle: { how: stuck, for_s: 2 }, strut_nose: "
        "{ how: stuck, for_s: 2 }, nose_green: { how: dead, for_s: 2 } }, "
        "move: { gear_handle: between }, set: { struts: compressed } }\n"
        "  - { at_s: 2.5, expect: { gear_handle: down, strut_nose: extended, nose_green: dark,"
        " strut_left: compressed } }\n"
        "  - { at_s: 3.5, expect: { gear_handle: between, strut_nose: compressed,"
        " nose_green: lit } }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    assert result.passed, result.failures


@pytest.mark.parametrize(
    ("fault", "before", "after"),
    [
        ("{ strut_left: { how: stuck, for_s: 2 } }", "{ strut_left: extended }",
         "{ strut_left: compressed }"),
        ("{ feed: { how: lost, for_s: 2 } }", "{ flap_deg: unknown }", "{ flap_deg: 0 }"),
        ("{ board: { how: unplugged, for_s: 2 } }", "{ gear_handle: unknown }",
         "{ gear_handle: up }"),
        ("{ dimmer: { how: dead, for_s: 2 } }", "{ dimmer: 0 }", "{ dimmer: 1 }"),
        ("{ lamp_test: { bouncing_s: 0.3, for_s: 2 } }", "{ lamp_test: released }",
         "{ lamp_test: released }"),
    ],
)  # fmt: skip
def test_every_room_of_faults_mends(run: Run, fault: str, before: str, after: str) -> None:
    steps = f"  - {{ at_s: 1, fault: {fault}, set: {{ struts: compressed }} }}\n"
    steps += f"  - {{ at_s: 2.9, expect: {before} }}\n  - {{ at_s: 3.1, expect: {after} }}\n"
    result = run(steps)
    assert result.passed, result.failures


def test_one_fault_mends_and_another_of_the_same_part_stays(run: Run) -> None:
    """Both of a leg: the one that was set last counts, and outlasts the other."""
    steps = (
        "  - { at_s: 1, fault: { nose_leg: { how: hung, for_s: 2 } } }\n"
        "  - { at_s: 2, fault: { nose_leg: contradictory } }\n"
        "  - { at_s: 4, expect: { nose_up_lock: made, nose_down_lock: made } }\n"
    )
    assert run(steps).passed
    steps = (
        "  - { at_s: 1, fault: { lamp_test: { bouncing_s: 0.2, for_s: 1 } } }\n"
        "  - { at_s: 1, fault: { lamp_test: stuck }, move: { lamp_test: pressed } }\n"
        "  - { at_s: 4, expect: { lamp_test: released } }\n"
    )
    assert run(steps).passed


def test_mended_by_hand_it_does_not_mend_what_comes_later() -> None:
    mending = Mending()
    mending.note(1.0, SetFault(FaultKind.STUCK, "antiskid", lasts_s=5.0))
    mending.note(2.0, ClearFault("antiskid"))
    mending.note(3.0, SetFault(FaultKind.STUCK, "antiskid"))
    assert [*mending.take(100.0)] == []
    mending.note(4.0, SetFault(FaultKind.STUCK, "antiskid", lasts_s=1.0))
    mending.note(4.5, SetFault(FaultKind.STUCK, "antiskid", lasts_s=1.0))
    assert mending.next_due_s == 5.5, "set again it lasts as it says then"
    assert [*mending.take(5.4)] == []
    assert [*mending.take(5.5)] == [ClearFault("antiskid", FaultKind.STUCK)]
    assert [*mending.take(9.0)] == []


def test_two_kinds_of_one_part_mend_each_at_its_time() -> None:
    mending = Mending()
    mending.note(0.0, SetFault(FaultKind.STUCK, "antiskid", lasts_s=1.0))
    mending.note(0.0, SetFault(FaultKind.BOUNCING, "antiskid", lasts_s=2.0))
    assert [*mending.take(1.0)] == [ClearFault("antiskid", FaultKind.STUCK)]
    assert mending.next_due_s == 2.0
    assert [*mending.take(2.0)] == [ClearFault("antiskid", FaultKind.BOUNCING)]


def test_a_value_that_is_lost_when_it_sticks_stays_what_it_is(run: Run) -> None:
    steps = (
        "  - { at_s: 1, fault: { flap_deg: lost } }\n"
        "  - { at_s: 2, fault: { flap_deg: stuck }, expect: { flap_deg: unknown } }\n"
        "  - { at_s: 3, set: { flap_deg: 10 },"
        " fault: { airspeed_kias: { how: lost, for_s: 1 } } }\n"
        "  - { at_s: 4.5, clear: flap_deg, expect: { flap_deg: 10, airspeed_kias: 240 } }\n"
    )
    result = run(steps)
    assert result.passed, result.failures


def test_a_ramp_does_not_move_what_is_stuck(run: Run) -> None:
    steps = (
        "  - { at_s: 1, ramp: { to: { airspeed_kias: 140 }, over_s: 10 } }\n"
        "  - { at_s: 3, fault: { airspeed_kias: { how: stuck, for_s: 4 } } }\n"
        "  - { expect: { airspeed_kias: 220 }, throughout_s: 4 }\n"
        "  - { at_s: 7.01, expect: { airspeed_kias: { below: 181 } } }\n"
    )
    result = run(steps)
    assert result.passed, result.failures
