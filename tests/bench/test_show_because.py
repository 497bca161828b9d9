"""Why a failure was as it was: what decided first, the rest folded, what is alike told once."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.reports.because import Because, explanations
from panelbridge.bench.reports.junit import junit_text
from panelbridge.bench.reports.text import failure_text, result_text
from panelbridge.bench.verdict.failure import Cause, Failure
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.kit.rule import Decision, Rule, reasons_of
from panelbridge.signals import Reason
from tests.bench.jet import jet
from tests.bench.made import Run
from tests.bench.on_boards import run_on_boards, write_scenario


def told(result: ScenarioResult, *, folded: bool = True) -> list[Because]:
    (failure,) = result.failures
    return [*explanations(failure, folded=folded)]


def failing(**more: object) -> Failure:
    return Failure(Spot("x.yaml", 1, 1), 1.0, "a", "b", **more)  # type: ignore[arg-type]


# -- rules that decide ------------------------------------------------------------------------


class Conditions:
    def __init__(self, **fields: bool) -> None:
        self.__dict__.update(fields)


def reasons(*rules: Rule, **fields: bool) -> list[tuple[str, bool, bool]]:
    words = {name: (Reason(name, value),) for name, value in fields.items()}
    found = reasons_of([Decision(rules, Conditions(**fields), words)])
    return [(one.condition, one.holds, one.decides) for one in found]


CLOSED = Rule("closed", (("levers", True), ("down", False), ("silenced", False)))
FLAPS = Rule("flaps", (("flaps", True), ("down", False)))
TEST = Rule("test", (("test", True),))
EVERY = (CLOSED, FLAPS, TEST)


def test_a_rule_that_holds_decides_with_all_that_it_asks_for() -> None:
    found = reasons(*EVERY, levers=True, down=False, silenced=False, flaps=False, test=False)
    assert [name for name, _, decides in found if decides] == [
        "rule: closed", "levers", "down", "silenced",
    ]  # fmt: skip


def test_of_rules_that_do_not_hold_the_nearest_decides_with_what_it_lacks() -> None:
    found = reasons(*EVERY, levers=True, down=False, silenced=True, flaps=False, test=False)
    # Both lack one thing; the test, of which nothing holds, is no candidate.
    assert [name for name, _, decides in found if decides] == [
        "rule: closed", "rule: flaps", "silenced", "flaps",
    ]  # fmt: skip
    found = reasons(*EVERY, levers=False, down=True, silenced=True, flaps=True, test=False)
    assert [name for name, _, decides in found if decides] == ["rule: flaps", "down"]


def test_where_nothing_holds_of_any_rule_the_first_system_decides() -> None:
    words = {"test": (Reason("test", False),), "low": (Reason("low", False),)}
    low = Rule("low", (("low", True),))
    facts = Conditions(low=False, test=False)
    found = reasons_of([Decision((low,), facts, words), Decision((TEST,), facts, words)])
    assert [one.condition for one in found if one.decides] == ["rule: low", "low"]


@given(st.fixed_dictionaries({name: st.booleans() for name in
                              ("levers", "down", "silenced", "flaps", "test")}))  # fmt: skip
def test_law_what_decides_explains_the_output(fields: dict[str, bool]) -> None:
    found = reasons(*EVERY, **fields)
    deciding = [(name, holds) for name, holds, decides in found if decides]
    rules = {name: holds for name, holds in deciding if name.startswith("rule: ")}
    on = any(rule.holds(Conditions(**fields)) for rule in EVERY)
    assert rules
    assert set(rules.values()) == {on}
    assert len(deciding) > len(rules), "a rule without a condition explains nothing"


# -- folding and grouping ---------------------------------------------------------------------


def leg_reasons(leg: str, holds: bool = False) -> tuple[Reason, ...]:
    return (
        Reason("rule: leg locked down", holds),
        Reason(f"{leg} leg locked down", holds, f"the {leg} lock"),
        Reason("lamp test held", False, decides=False),
        Reason("warning test held", False, decides=False),
    )


def test_what_is_alike_is_told_once() -> None:
    failure = failing(
        reasons={
            "nose_green": leg_reasons("nose"),
            "left_green": leg_reasons("left"),
            "right_green": leg_reasons("right", holds=True),
            "nose_red": leg_reasons("nose"),
        }
    )
    found = [*explanations(failure, folded=True)]
    assert [one.signals for one in found] == [
        ("nose_green", "left_green"), ("right_green",), ("nose_red",),
    ]  # fmt: skip
    assert failure_text(failure).splitlines()[3:7] == [
        "    because       nose_green and left_green alike:",
        "                  does not hold  rule: leg locked down",
        "                  does not hold  nose leg locked down - the nose lock",
        "                  and 2 more that did not decide",
    ]


def test_wheels_and_sides_are_alike_too() -> None:
    names = ("left_outer_antiskid", "left_inner_antiskid", "right_outer_antiskid")
    causes = {
        name: Cause("off", others=(f"{name.removesuffix('_antiskid')}_wheel_rpm is 0 rpm",))
        for name in names
    }
    (one,) = explanations(failing(causes=causes), folded=True)
    assert one.signals == names
    assert one.title == (
        "left_outer_antiskid, left_inner_antiskid and right_outer_antiskid alike: "
        "off, since the start"
    )


def test_of_many_signals_the_first_are_explained() -> None:
    causes = {f"x{n}": Cause(str(n)) for n in range(9)}
    assert len([*explanations(failing(causes=causes), folded=True)]) == 6
    assert "    because       3 more signals are not explained here" in failure_text(
        failing(causes=causes)
    )
    assert len([*explanations(failing(causes=causes), folded=False)]) == 9


def test_a_report_for_build_servers_folds_nothing(run: Run) -> None:
    result = run("  - { at_s: 1, expect: { nose_green: lit, gear: locked_down } }\n")
    console, report = result_text(result), junit_text([result])
    assert "that did not decide" in console
    assert "lamp test held" not in console
    assert "that did not decide" not in report
    assert "lamp test held" in report


# -- values and words -------------------------------------------------------------------------


def test_a_word_says_since_when_and_what_changed_with_it(tmp_path: Path) -> None:
    steps = (
        "  - { at_s: 1, set: { struts: extended } }\n"
        "  - { at_s: 4, expect: { on_ground: true }, within_s: 1 }\n"
    )
    (one,) = told(jet(tmp_path, steps))
    assert one.head.startswith("false, since 1.")
    assert one.head.endswith("before: true")


def test_changes_of_the_same_instant_are_named(run: Run) -> None:
    steps = (
        "  - { at_s: 1, move: { gear_handle: down } }\n"
        "  - { at_s: 3, expect: { gear_command: up } }\n"
    )
    (one,) = told(run(steps))
    assert one.head == "down, since 1.320 s; before: up"
    assert one.lines[:2] == (("with", "gear_handle is down"), ("with", "simulator_handle is down"))


def test_a_value_from_outside_says_which_step_set_it(run: Run) -> None:
    steps = (
        "  - { at_s: 1, set: { flap_deg: 10 } }\n"
        "  - { at_s: 2, note: nothing }\n"
        "  - { at_s: 3, ramp: { to: { altitude_ft: 0 }, over_s: 10 } }\n"
        "  - { at_s: 4, fault: { feed: lost } }\n"
        "  - { at_s: 5, clear: all }\n"
        "  - { at_s: 6, expect: { flap_deg: 0, altitude_ft: 7, dimmer: 0, throttle_1: 0 } }\n"
    )
    found = {one.signals[0]: one for one in told(run(steps))}
    assert found["flap_deg"].head == "10 degrees, since 5.000 s; before: unknown"
    assert found["flap_deg"].lines[0][1].endswith("scenario.yaml:11:5")
    assert found["dimmer"].head == "1, since the start"
    assert found["altitude_ft"].head.endswith(", on its way")
    assert found["throttle_1"].head == "0.7, since 5.000 s; before: unknown"


def test_a_fault_stands_among_what_it_looks_at(run: Run) -> None:
    steps = (
        "  - { at_s: 1, fault: { nose_leg: hung }, move: { gear_handle: down } }\n"
        "  - { at_s: 12, expect: { gear: locked_down } }\n"
    )
    (one,) = told(run(steps), folded=False)
    assert ("looks at", "fault of nose: hung") in one.lines


def test_on_boards_values_are_explained_too(tmp_path: Path) -> None:
    steps = (
        "  - { at_s: 1, move: { gear_handle: up } }\n"
        "  - { at_s: 3, expect: { gear_command: down, gear_handle: down, flap_deg: 1 } }\n"
    )
    (result,) = run_on_boards(write_scenario(tmp_path, steps))
    found = {one.signals[0]: one for one in told(result)}
    assert found["gear_command"].head.startswith("up, since 1.")
    assert ("with", "gear_handle is up") in found["gear_command"].lines
    assert found["gear_handle"].lines[0][0] == "set by"
