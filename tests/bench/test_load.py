"""A scenario file as a plan."""

from __future__ import annotations

from math import inf
from pathlib import Path

import pytest

from panelbridge.bench.language.expectations import (
    EventPattern,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.plan import (
    After,
    At,
    ClearFault,
    FaultKind,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
    WaitFor,
)
from panelbridge.bench.language.targets import Targets
from panelbridge.errors import ConfigError
from panelbridge.logic.kit.conditions import AllOf, AnyOf, Compare, Comparison, Not
from panelbridge.signals import AircraftState, GearPosition, LegLocks
from tests.bench.made import TARGETS
from tests.bench.plain import plain_config

AIRCRAFT = plain_config("aircraft/twin_jet.yaml")
PANEL = plain_config("panels/demo_panel.yaml")
IS = Comparison.IS


def plans_of(folder: Path, text: str, target: str = f"aircraft: {AIRCRAFT}") -> list[ScenarioPlan]:
    path = folder / "scenario.yaml"
    path.write_text(f"kind: scenario\nformat: 2\nname: Test\n{target}\n{text}", "utf-8")
    return load_scenarios(path, TARGETS)


def plan_of(folder: Path, text: str, target: str = f"aircraft: {AIRCRAFT}") -> ScenarioPlan:
    (plan,) = plans_of(folder, text, target)
    return plan


def steps(*lines: str) -> str:
    return "steps:\n" + "".join(f"  - {line}\n" for line in lines)


def test_what_the_file_says_of_itself(tmp_path: Path) -> None:
    text = "source: 14 CFR 23.729(f)(1)\nruns_for_s: 30\n" + steps("note: nothing")
    plan = plan_of(tmp_path, text)
    assert (plan.name, plan.case, plan.title) == ("Test", "", "Test")
    assert plan.source == "14 CFR 23.729(f)(1)"
    assert plan.path == tmp_path / "scenario.yaml"
    assert plan.aircraft.name == "Twin jet"
    assert plan.panel is None
    assert plan.runs_for_s == 30.0
    assert plan.start_switches == {}
    assert plan.start == AircraftState()
    (step,) = plan.steps
    assert step.note == "nothing"
    assert step.when == After(0.0)
    assert (step.spot.file, step.spot.line, step.spot.column) == (str(plan.path), 8, 5)


def test_a_panel_comes_with_its_aircraft(tmp_path: Path) -> None:
    plan = plan_of(tmp_path, steps("push: horn_silence"), f"panel: {PANEL}")
    assert plan.panel is not None
    assert plan.panel.name == "Demonstration panel"
    assert plan.aircraft.name == "Twin jet"


def test_a_start_condition_and_values_over_it(tmp_path: Path) -> None:
    text = (
        "start: cruise clean\nset: { flap_deg: 5, throttle_2: unknown, strut_nose: compressed }\n"
    )
    plan = plan_of(tmp_path, text + "switches: { dimmer: 0.5 }\n" + steps("note: x"))
    assert plan.start == AircraftState(
        airspeed_kias=240.0,
        altitude_ft=21000.0,
        ground_speed_kt=330.0,
        throttle_fraction=(0.7, None),
        flap_deg=5.0,
        strut_compressed=(True, False, False),
        gear_handle=GearPosition.UP,
        hydraulic_pressure_psi=2900.0,
    )
    assert plan.start_switches == {"gear_handle": "up", "dimmer": 0.5}


def test_the_handle_at_the_start_can_stand_elsewhere_than_the_simulators(tmp_path: Path) -> None:
    text = "start: cruise clean\nswitches: { gear_handle: down }\n"
    plan = plan_of(tmp_path, text + steps("note: x"))
    assert plan.start_switches == {"gear_handle": "down"}
    assert plan.start.gear_handle is GearPosition.UP


def test_where_the_feed_is_the_authority_the_start_locks_the_legs(tmp_path: Path) -> None:
    text = AIRCRAFT.read_text("utf-8").replace("legs: model", "legs: feed")
    (tmp_path / "aircraft.yaml").write_text(text, "utf-8")
    body = "start: cruise clean\n" + steps("set: { nose_up_lock: open, left_down_lock: unknown }")
    plan = plan_of(tmp_path, body, "aircraft: aircraft.yaml")
    assert plan.start.leg_locks == (LegLocks(up_locked=True, down_locked=False),) * 3
    assert plan.steps[0].actions == (SetValues({"nose_up_lock": "open", "left_down_lock": None}),)


@pytest.mark.parametrize(
    ("line", "when"),
    [
        ("at_s: 3", At(3.0)),
        ("after_s: 2.5", After(2.5)),
        (
            "wait_for: { gear: locked_up }",
            WaitFor(Compare("gear", IS, "locked_up"), 60.0),
        ),
        (
            "{ wait_for: { horn_sounding: true }, limit_s: 4 }",
            WaitFor(Compare("horn_sounding", IS, True), 4.0),
        ),
    ],
)
def test_when_a_step_begins(line: str, when: object, tmp_path: Path) -> None:
    assert plan_of(tmp_path, steps(line)).steps[0].when == when


@pytest.mark.parametrize(
    ("line", "actions"),
    [
        ("set: { airspeed_kias: 120 }", (SetValues({"airspeed_kias": 120.0}),)),
        ("set: { flap_deg: unknown }", (SetValues({"flap_deg": None}),)),
        ("set: { throttles: 0.8 }", (SetValues({"throttle_1": 0.8, "throttle_2": 0.8}),)),
        (
            "set: { struts: extended, simulator_handle: up }",
            (
                SetValues(
                    {
                        "strut_nose": "extended",
                        "strut_left": "extended",
                        "strut_right": "extended",
                        "simulator_handle": "up",
                    }
                ),
            ),
        ),
        (
            "ramp: { to: { throttles: 0, flap_deg: 30 }, over_s: 10 }",
            (RampValues({"throttle_1": 0.0, "throttle_2": 0.0, "flap_deg": 30.0}, 10.0),),
        ),
        (
            "move: { gear_handle: between, dimmer: 0.25, lamp_test: pressed }",
            (
                MoveSwitch("gear_handle", "between"),
                MoveSwitch("dimmer", 0.25),
                MoveSwitch("lamp_test", "pressed"),
            ),
        ),
        ("press: lamp_test", (MoveSwitch("lamp_test", "pressed"),)),
        (
            "release: [lamp_test, warning_test]",
            (MoveSwitch("lamp_test", "released"), MoveSwitch("warning_test", "released")),
        ),
        ("fault: { gear_handle: stuck }", (SetFault(FaultKind.STUCK, "gear_handle"),)),
        (
            "fault: { gear_handle: contradictory, lamp_test: bouncing }",
            (
                SetFault(FaultKind.CONTRADICTORY, "gear_handle"),
                SetFault(FaultKind.BOUNCING, "lamp_test", 0.1),
            ),
        ),
        (
            "fault: { gear_handle: { bouncing_s: 0.25 } }",
            (SetFault(FaultKind.BOUNCING, "gear_handle", 0.25),),
        ),
        ("fault: { nose_leg: hung }", (SetFault(FaultKind.HUNG, "nose"),)),
        (
            "fault: { nose_green: dead, steering_green: dead }",
            (SetFault(FaultKind.DEAD, "nose_green"), SetFault(FaultKind.DEAD, "steering_green")),
        ),
        ("fault: { feed: lost }", (SetFault(FaultKind.LOST, "feed"),)),
        ("fault: { strut_left: lost }", (SetFault(FaultKind.LOST, "strut_left"),)),
        ("fault: { board: unplugged }", (SetFault(FaultKind.UNPLUGGED, "board"),)),
        ("clear: all", (ClearFault("all"),)),
        ("clear: [nose_leg, feed]", (ClearFault("nose"), ClearFault("feed"))),
        (
            "{ clear: all, set: { flap_deg: 1 }, press: lamp_test }",
            (ClearFault("all"), SetValues({"flap_deg": 1.0}), MoveSwitch("lamp_test", "pressed")),
        ),
        (
            "{ press: lamp_test, set: { flap_deg: 1 }, clear: all }",
            (MoveSwitch("lamp_test", "pressed"), SetValues({"flap_deg": 1.0}), ClearFault("all")),
        ),
    ],
)
def test_actions_in_the_order_written(
    line: str, actions: tuple[object, ...], tmp_path: Path
) -> None:
    (step,) = plan_of(tmp_path, steps(line)).steps
    assert step.actions == actions
    assert step.expectations == ()


def test_the_only_board_of_a_panel_goes_by_its_name(tmp_path: Path) -> None:
    text = steps("fault: { board: unplugged }", "clear: board")
    plan = plan_of(tmp_path, text, f"panel: {PANEL}")
    assert plan.panel is not None
    (name,) = plan.panel.boards
    assert plan.steps[0].actions == (SetFault(FaultKind.UNPLUGGED, name),)
    assert plan.steps[1].actions == (ClearFault(name),)


def test_one_of_two_boards_must_be_named(tmp_path: Path) -> None:
    target = f"panel: {plain_config('panels/two_boards.yaml')}"
    plan = plan_of(tmp_path, steps("fault: { pedestal: unplugged }"), target)
    assert plan.steps[0].actions == (SetFault(FaultKind.UNPLUGGED, "pedestal"),)
    with pytest.raises(ConfigError, match="no fault target 'board'"):
        plan_of(tmp_path, steps("fault: { board: unplugged }"), target)


def test_a_push_is_a_press_and_a_release(tmp_path: Path) -> None:
    line = "{ at_s: 1, note: hush, push: [horn_silence, lamp_test], "
    plan = plan_of(
        tmp_path,
        steps(
            line + "expect: { horn: silent }, in_order: [horn_silenced] }",
            "{ after_s: 1, expect: { horn: silent } }",
        ),
    )
    press, release, after = plan.steps
    assert press.when == At(1.0)
    assert press.note == "hush"
    assert press.actions == (
        MoveSwitch("horn_silence", "pressed"),
        MoveSwitch("lamp_test", "pressed"),
    )
    assert [type(e) for e in press.expectations] == [ExpectOrder]
    assert release.when == After(0.2)
    assert release.actions == (
        MoveSwitch("horn_silence", "released"),
        MoveSwitch("lamp_test", "released"),
    )
    assert [type(e) for e in release.expectations] == [ExpectNow]
    assert release.spot == press.spot
    assert after.when == After(1.0)


@pytest.mark.parametrize(
    ("written", "condition"),
    [
        ("{ horn: silent }", Compare("horn", IS, "silent")),
        ("{ airspeed_kias: 100 }", Compare("airspeed_kias", IS, 100.0)),
        ("{ airspeed_kias: unknown }", Compare("airspeed_kias", IS, None)),
        ("{ gear: unknown }", Compare("gear", IS, None)),
        ("{ on_ground: false }", Compare("on_ground", IS, False)),
        (
            "{ horn: silent, gear: locked_up }",
            AllOf((Compare("horn", IS, "silent"), Compare("gear", IS, "locked_up"))),
        ),
        (
            "{ nose_travel: { above: 0, below: 1 } }",
            AllOf(
                (
                    Compare("nose_travel", Comparison.ABOVE, 0.0),
                    Compare("nose_travel", Comparison.BELOW, 1.0),
                )
            ),
        ),
        (
            "{ flap_deg: { at_least: 5 }, altitude_ft: { at_most: -10 } }",
            AllOf(
                (
                    Compare("flap_deg", Comparison.AT_LEAST, 5.0),
                    Compare("altitude_ft", Comparison.AT_MOST, -10.0),
                )
            ),
        ),
        (
            "{ horn: [silent, intermittent] }",
            AnyOf((Compare("horn", IS, "silent"), Compare("horn", IS, "intermittent"))),
        ),
        (
            "{ throttles: { below: 0.5 } }",
            AllOf(
                (
                    Compare("throttle_1", Comparison.BELOW, 0.5),
                    Compare("throttle_2", Comparison.BELOW, 0.5),
                )
            ),
        ),
        (
            "{ reds: dark }",
            AllOf(tuple(Compare(f"{leg}_red", IS, "dark") for leg in ("nose", "left", "right"))),
        ),
        (
            "{ not: { legs: down_locked } }",
            Not(
                AllOf(
                    tuple(
                        Compare(f"{leg}_leg", IS, "down_locked")
                        for leg in ("nose", "left", "right")
                    )
                )
            ),
        ),
        (
            "{ any: [{ horn: silent }, { not: { gear: locked_up } }], all: [{ horn: silent }] }",
            AllOf(
                (
                    AnyOf((Compare("horn", IS, "silent"), Not(Compare("gear", IS, "locked_up")))),
                    AllOf((Compare("horn", IS, "silent"),)),
                )
            ),
        ),
    ],
)
def test_conditions(written: str, condition: object, tmp_path: Path) -> None:
    (step,) = plan_of(tmp_path, steps(f"expect: {written}")).steps
    (expectation,) = step.expectations
    assert isinstance(expectation, ExpectNow)
    assert expectation.condition == condition


def test_expectations(tmp_path: Path) -> None:
    text = steps(
        "{ expect: { horn: silent }, within_s: 1.5 }",
        "{ expect: { horn: silent }, throughout_s: 3 }",
        "{ expect: { horn: silent }, throughout_s: end }",
        "{ never: { horn: silent } }",
        "{ never: { event: took_off }, for_s: 9 }",
        "{ in_order: [took_off, leg_unlocked nose] }",
        "{ expect: { horn: silent }, in_order: [feed_lost], within_s: 2, "
        "never: { gear: locked_up } }",
    )
    found = [e for step in plan_of(tmp_path, text).steps for e in step.expectations]
    silent = Compare("horn", IS, "silent")
    spots = [e.spot for e in found]
    assert found == [
        ExpectWithin(silent, 1.5, spots[0]),
        ExpectThroughout(silent, 3.0, spots[1]),
        ExpectThroughout(silent, inf, spots[2]),
        ExpectNever(silent, inf, spots[3]),
        ExpectSilence("took_off", 9.0, spots[4]),
        ExpectOrder(
            (EventPattern("took_off"), EventPattern("leg_unlocked", "nose")), inf, spots[5]
        ),
        ExpectWithin(silent, 2.0, spots[6]),
        ExpectNever(Compare("gear", IS, "locked_up"), inf, spots[7]),
        ExpectOrder((EventPattern("feed_lost"),), 2.0, spots[8]),
    ]
    assert [(s.line, s.column) for s in spots] == [
        *((6, 7), (7, 7), (8, 7), (9, 7), (10, 7), (11, 7), (12, 7), (12, 69), (12, 33))
    ]


def test_cases_keep_the_type_of_their_values(tmp_path: Path) -> None:
    text = (
        "start: <from>\n"
        + steps("{ after_s: <wait>, set: { throttles: <lever> }, expect: <then>, note: <why> }")
        + "cases:\n"
        "  - { case: one, from: parked, wait: 1, lever: 0.5, then: { on_ground: true }, why: a }\n"
        "  - { case: two, from: cruise clean, wait: 2, lever: unknown, then: { horn: silent }, "
        "why: b }\n"
    )
    one, two = plans_of(tmp_path, text)
    assert (one.title, two.title) == ("Test [one]", "Test [two]")
    assert (one.start.airspeed_kias, two.start.airspeed_kias) == (0.0, 240.0)
    assert (one.steps[0].when, two.steps[0].when) == (After(1.0), After(2.0))
    assert one.steps[0].actions == (SetValues({"throttle_1": 0.5, "throttle_2": 0.5}),)
    assert two.steps[0].actions == (SetValues({"throttle_1": None, "throttle_2": None}),)
    assert (one.steps[0].note, two.steps[0].note) == ("a", "b")
    conditions = [p.steps[0].expectations[0] for p in (one, two)]
    assert [getattr(e, "condition", None) for e in conditions] == [
        Compare("on_ground", IS, True),
        Compare("horn", IS, "silent"),
    ]


INNER = f"kind: scenario\nformat: 2\nname: Inner\naircraft: {AIRCRAFT}\nstart: parked\n"


def test_included_steps_stand_in_their_place_with_times_of_their_own(tmp_path: Path) -> None:
    inner = steps("{ at_s: 1, note: a }", "{ after_s: 2, note: b }", "{ at_s: 5, note: c }")
    (tmp_path / "inner.yaml").write_text(INNER + inner, "utf-8")
    text = "start: cruise clean\n" + steps(
        "{ at_s: 10, note: before, include: inner.yaml }", "{ at_s: 15, note: after }"
    )
    plan = plan_of(tmp_path, text)
    assert plan.start.airspeed_kias == 240.0
    assert [(s.note, s.when) for s in plan.steps] == [
        ("before", At(10.0)),
        ("a", After(1.0)),
        ("b", After(2.0)),
        ("c", After(2.0)),
        ("after", At(15.0)),
    ]
    assert Path(plan.steps[1].spot.file).name == "inner.yaml"
    with pytest.raises(ConfigError, match=r"begins at 14 s, and the step before it at 15 s"):
        plan_of(tmp_path, text.replace("at_s: 15", "at_s: 14"))


def test_an_included_panel_of_the_same_aircraft(tmp_path: Path) -> None:
    inner = INNER.replace(f"aircraft: {AIRCRAFT}", f"panel: {PANEL}") + steps("push: lamp_test")
    (tmp_path / "inner.yaml").write_text(inner, "utf-8")
    plan = plan_of(tmp_path, steps("include: inner.yaml"))
    assert [s.when for s in plan.steps] == [After(0.0), After(0.0), After(0.2)]


def test_the_same_file_can_be_included_twice(tmp_path: Path) -> None:
    (tmp_path / "inner.yaml").write_text(INNER + steps("note: a"), "utf-8")
    plan = plan_of(tmp_path, steps("include: inner.yaml", "include: inner.yaml"))
    assert [s.note for s in plan.steps] == ["", "a", "", "a"]


@pytest.mark.thorough
def test_files_that_include_more_and_more_come_to_an_end(tmp_path: Path) -> None:
    for number in range(15):
        line = f"include: inner{number + 1}.yaml"
        text = INNER + steps(line, line, line)
        (tmp_path / f"inner{number}.yaml").write_text(text, "utf-8")
    (tmp_path / "inner15.yaml").write_text(INNER + steps("note: a"), "utf-8")
    with pytest.raises(ConfigError, match="more than 10000 steps") as caught:
        plan_of(tmp_path, steps("include: inner0.yaml"))
    assert len(caught.value.problems) == 1


def test_files_cannot_include_each_other_without_end_in_depth(tmp_path: Path) -> None:
    for number in range(30):
        text = INNER + steps(f"include: inner{number + 1}.yaml")
        (tmp_path / f"inner{number}.yaml").write_text(text, "utf-8")
    with pytest.raises(ConfigError, match="more than 20 deep"):
        plan_of(tmp_path, steps("include: inner0.yaml"))


def test_an_aircraft_is_read_once_for_many_scenarios(tmp_path: Path) -> None:
    aircraft = tmp_path / "aircraft.yaml"
    aircraft.write_bytes(AIRCRAFT.read_bytes())
    path = tmp_path / "scenario.yaml"
    text = "kind: scenario\nformat: 2\nname: Test\naircraft: aircraft.yaml\n" + steps("note: x")
    path.write_text(text, "utf-8")
    targets = Targets()
    first = load_scenarios(path, targets)
    aircraft.unlink()
    assert load_scenarios(path, targets)[0].aircraft is first[0].aircraft
    with pytest.raises(ConfigError, match="no such file"):
        load_scenarios(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="no such file"):
        load_scenarios(tmp_path / "none.yaml")


def one_contact_panel(folder: Path, handle: str) -> str:
    good = Path(__file__).parent / "bad" / "good"
    text = (good / "panel.yaml").read_text("utf-8")
    wired = next(line for line in text.splitlines() if line.startswith("  gear_handle:"))
    text = text.replace(wired, handle).replace("aircraft.yaml", str(good / "aircraft.yaml"))
    (folder / "panel.yaml").write_text(text, "utf-8")
    return "panel: panel.yaml"


def test_a_handle_with_one_contact_is_never_between_and_contradicts_nothing(
    tmp_path: Path,
) -> None:
    handle = "  gear_handle: { form: one_contact, board: main, pin: D22, closed_means: down }"
    target = one_contact_panel(tmp_path, handle)
    plan = plan_of(tmp_path, steps("move: { gear_handle: up }"), target)
    assert plan.steps[0].actions == (MoveSwitch("gear_handle", "up"),)
    with pytest.raises(ConfigError) as caught:
        plan_of(
            tmp_path,
            steps("move: { gear_handle: between }", "fault: { gear_handle: contradictory }"),
            target,
        )
    assert [error.hint for error in caught.value.problems] == [
        "It can be up or down",
        "It can be stuck, dead or bouncing",
    ]


def test_a_start_condition_moves_no_handle_that_is_not_there(tmp_path: Path) -> None:
    target = one_contact_panel(tmp_path, "")
    panel = tmp_path / "panel.yaml"
    text = panel.read_text("utf-8")
    panel.write_text(text.replace("not_fitted: [", "not_fitted: [gear_handle, "), "utf-8")
    plan = plan_of(tmp_path, "start: cruise\n" + steps("note: x"), target)
    assert plan.start.gear_handle is GearPosition.UP
    assert plan.start_switches == {}


def test_an_aircraft_without_engines_begins_too(tmp_path: Path) -> None:
    text = AIRCRAFT.read_text("utf-8").replace("engines: 2", "engines: 0")
    (tmp_path / "aircraft.yaml").write_text(text, "utf-8")
    plan = plan_of(tmp_path, "start: taxi\n" + steps("note: x"), "aircraft: aircraft.yaml")
    assert plan.start.throttle_fraction == ()
    assert plan.start.ground_speed_kt == 12.0
    with pytest.raises(ConfigError, match="no aircraft value 'throttles'"):
        plan_of(tmp_path, steps("set: { throttles: 1 }"), "aircraft: aircraft.yaml")
