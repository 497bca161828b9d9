"""Every action and every fault, each with what it alone makes so: without it the scenario fails."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

from panelbridge.bench.language import actions_file
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import ClearFault, FaultKind, SetFault
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from tests.bench.made import TARGETS
from tests.examples import few_of

PANEL = shipped_config("panels/demo_panel.yaml").as_posix()
MOVES = "move: { gear_handle: down }"


class Try(NamedTuple):
    """An action, what is done besides, and what is so afterwards because of the action.

    Attributes:
        does: the action.
        then: what is expected at 1 s + ``after_s``.
        besides: another action at 1 s, or nothing.
        after_s: until it is looked at.
        start: start condition.
        before: an action at 0.2 s, or nothing.
        hears: events that come in this order from 1 s on because of the action.
    """

    does: str
    then: str
    besides: str = ""
    after_s: float = 2.0
    start: str = "cruise clean"
    before: str = ""
    hears: str = ""


ACTIONS = [
    Try("set: { airspeed_kias: 111 }", "{ airspeed_kias: 111 }"),
    Try("set: { throttles: 0.1 }", "{ horn: intermittent, throttle_1: 0.1, throttle_2: 0.1 }",
        start="approach clean"),
    Try("set: { strut_left: compressed }", "{ on_ground: true, strut_nose: extended }"),
    Try("set: { flap_deg: unknown }", "{ flap_deg: unknown }"),
    Try("ramp: { to: { flap_deg: 30 }, over_s: 4 }", "{ flap_deg: { above: 14, below: 16 } }"),
    Try("ramp: { to: { flap_deg: 30 }, over_s: 1 }", "{ flap_deg: 30, horn: continuous }"),
    Try("move: { gear_handle: down }", "{ gear_handle: down, nose_leg: extending }"),
    Try("move: { gear_handle: between }", "{ gear_handle: between, fault_shown: true }"),
    Try("move: { lamp_test: pressed }", "{ lamp_test: pressed, greens: lit }"),
    Try("move: { aux_pump: on }", "{ aux_pump: on }"),
    Try("move: { emergency_extend: pulled }", "{ emergency_extension: extended }"),
    Try("move: { parking_brake: 0.5 }", "{ parking_brake: 0.5, parking_brake_state: partly }"),
    Try("move: { dimmer: 0.25 }", "{ dimmer: { at_least: 0.24, at_most: 0.26 } }"),
    Try("press: lamp_test", "{ lamp_test: pressed, reds: lit }"),
    Try("press: [lamp_test, horn_silence]", "{ lamp_test: pressed, horn_silence: pressed }"),
    Try("release: lamp_test", "{ lamp_test: released, reds: dark }", before="press: lamp_test"),
    Try("push: horn_silence", "{ horn: silent, horn_silence: released, horn_silenced: true }",
        before="set: { throttles: 0.1 }", start="approach clean"),
    Try("include: other.yaml", "{ airspeed_kias: 99 }"),
    Try("include: { file: given.yaml, values: { speed: 98 } }", "{ airspeed_kias: 98 }"),
    Try("repeat: { times: 1, steps: [{ set: { airspeed_kias: 97 } }] }", "{ airspeed_kias: 97 }"),
    Try("noise: { amplitude: { airspeed_kias: 2 } }", "{ not: { airspeed_kias: 240 } }"),
    Try("clear: airspeed_kias", "{ airspeed_kias: 240 }", before="fault: { airspeed_kias: lost }"),
    Try("clear: all", "{ airspeed_kias: 240, gear_handle: up }",
        before="fault: { airspeed_kias: lost, gear_handle: dead }"),
]  # fmt: skip

FAULTS = [
    Try("fault: { gear_handle: stuck }", "{ gear_handle: up, nose_leg: up_locked }", MOVES),
    Try("fault: { lamp_test: stuck }", "{ lamp_test: released }", "press: lamp_test"),
    Try("fault: { dimmer: stuck }", "{ dimmer: { above: 0.9 } }", "move: { dimmer: 0 }"),
    Try("fault: { gear_handle: dead }", "{ gear_handle: between, gear_command: none }"),
    Try("fault: { lamp_test: dead }", "{ lamp_test: released }", "press: lamp_test"),
    Try("fault: { nose_green: dead }", "{ nose_green: dark, left_green: lit, gear: locked_down }",
        start="final approach"),
    Try("fault: { gear_handle: bouncing }", "{ gear_handle: between }", MOVES, 0.36),
    Try("fault: { lamp_test: bouncing }", "{ lamp_test: released }", "press: lamp_test", 0.03),
    Try("fault: { gear_handle: { bouncing_s: 0.5 } }", "{ gear_handle: down }", MOVES,
        hears="contact_found_noisy, contact_found_noisy"),
    Try("fault: { lamp_test: { bouncing_s: 0.5 } }", "{ lamp_test: pressed }", "press: lamp_test",
        hears="lamp_test_started, lamp_test_ended, lamp_test_started"),
    Try("fault: { gear_handle: contradictory }", "{ gear_handle: both, gear_command: none }"),
    Try("fault: { left_leg: contradictory }", "{ left_up_lock: made, left_down_lock: made }"),
    Try("fault: { left_leg: down_switch_stuck }", "{ left_up_lock: made, left_down_lock: made }"),
    Try("fault: { left_leg: down_switch_open }", "{ left_down_lock: open, left_green: dark }",
        start="final approach"),
    Try("fault: { left_leg: hung }", "{ left_leg: extending, nose_leg: down_locked }", MOVES, 12),
    Try("fault: { gear_power: failed }", "{ gear_power: unsupplied, gear: locked_up }", MOVES),
    Try("fault: { right_inner_antiskid: failed }", "{ right_inner_antiskid_amber: lit }",
        before="move: { antiskid: on }", after_s=4),
    Try("fault: { nose_door: jammed }", "{ nose_door: closed, nose_leg: up_locked }", MOVES),
    Try("fault: { aux_pump: runs_on }", "{ aux_pump_state: pumping }",
        before="move: { aux_pump: on }"),
    Try("fault: { hydraulics: leaking }", "{ hydraulic_lost_l: { above: 0.01 } }"),
    Try("fault: { air_bottle: leaking }", "{ emergency_air_psi: { below: 2050 } }"),
    Try("fault: { air_bottle: empty }", "{ emergency_air_psi: 0 }"),
    Try("fault: { brake_accumulator: empty }", "{ brake_applications_left: 0 }"),
    Try("fault: { parking_brake: sticking }", "{ parking_brake_state: trapped }",
        "move: { parking_brake: 0 }", before="move: { parking_brake: 1 }"),
    Try("fault: { airspeed_kias: lost }", "{ airspeed_kias: unknown, altitude_ft: 21000 }"),
    Try("fault: { strut_left: lost }", "{ strut_left: unknown, on_ground: true }"),
    Try("fault: { strut_left: stuck }", "{ strut_left: extended, strut_nose: compressed }",
        "set: { struts: compressed }"),
    Try("fault: { airspeed_kias: stuck }", "{ airspeed_kias: 240 }",
        "ramp: { to: { airspeed_kias: 200 }, over_s: 1 }"),
    Try("fault: { simulator_handle: stuck }", "{ simulator_handle: up, gear_handle: down }", MOVES),
    Try("fault: { gear_handle: { how: stuck, for_s: 2.5 } }", "{ gear_handle: up }", MOVES),
    Try("fault: { throttle_2: lost }", "{ throttle_2: unknown, throttle_1: 0.7 }"),
    Try("fault: { feed: lost }", "{ airspeed_kias: unknown, throttle_1: unknown }"),
    Try("fault: { board: unplugged }", "{ gear_handle: unknown, greens: dark }",
        start="final approach"),
]  # fmt: skip


def _run(folder: Path, one: Try, *, does: str, mended: str = "") -> ScenarioResult:
    other = "kind: scenario\nformat: 2\nname: Other\n"
    other += f"panel: {PANEL}\nsteps:\n  - set: {{ airspeed_kias: 99 }}\n"
    (folder / "other.yaml").write_text(other, encoding="utf-8")
    given = other.replace("99", "<speed>") + "cases: [{ case: one, speed: 1 }]\n"
    (folder / "given.yaml").write_text(given, encoding="utf-8")
    lines = ["kind: scenario", "format: 2", "name: Test", f"panel: {PANEL}", f"start: {one.start}"]
    lines += ["steps:", "  - { at_s: 0 }"]
    done = [("at_s: 0.2", one.before), ("at_s: 1", does), ("after_s: 0", mended)]
    if one.hears:
        done.append(("at_s: 1", f"in_order: [{one.hears}], within_s: {one.after_s}"))
    lines += [f"  - {{ {when}, {what} }}" for when, what in [*done, ("after_s: 0", one.besides)]
              if what]  # fmt: skip
    # "push" counts what follows from the release on: the look is at a time of its own.
    lines.append(f"  - {{ at_s: {1 + one.after_s}, expect: {one.then} }}")
    path = folder / "scenario.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    (plan,) = load_scenarios(path, TARGETS)
    return run_scenario(plan)


@pytest.mark.parametrize("one", ACTIONS + FAULTS, ids=lambda one: f"{one.does} {one.start}")
def test_it_makes_the_difference(tmp_path: Path, one: Try) -> None:
    with_it = _run(tmp_path, one, does=one.does)
    assert with_it.passed, with_it.failures
    assert not _run(tmp_path, one, does="").passed, "it is so without it"


@pytest.mark.parametrize("one", FAULTS, ids=lambda one: one.does)
@pytest.mark.parametrize("what", few_of(["all", "its target"]))
def test_mended_at_once_it_makes_none(tmp_path: Path, one: Try, what: str) -> None:
    target = one.does.split()[2].removesuffix(":")
    mended = f"clear: {'all' if what == 'all' else target}"
    result = _run(tmp_path, one, does=one.does, mended=mended)
    assert not result.passed, "it is still broken"
    kinds = {type(action) for step in result.plan.steps for action in step.actions}
    assert {SetFault, ClearFault} <= kinds


def test_every_action_and_every_fault_is_tried() -> None:
    tried = {one.does.partition(":")[0] for one in ACTIONS + FAULTS}
    assert set(actions_file._READERS) | {"include", "repeat"} == tried
    words = {kind for one in FAULTS for kind in FaultKind if kind.value in one.does}
    loaded = load_panel(PANEL)
    faults = Names(loaded.aircraft, loaded.panel).faults
    assert words == {kind for _, kinds in faults.values() for kind in kinds}
