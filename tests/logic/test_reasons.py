"""Why a lamp is lit or the horn sounds: the reasons always lead to what is shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.errors import LogicError
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.kit.rule import Rule, against
from panelbridge.signals import HandleContacts, LegLocks, Reason
from tests.examples import examples
from tests.logic.build import (
    CLOSED,
    DOWN,
    LEG_NAMES,
    OPEN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    ground,
    on_ground,
    switches,
    twin,
)


class Given:
    """The conditions of one output by name, rules apart."""

    def __init__(self, reasons: Sequence[Reason]) -> None:
        self.rules = [r for r in reasons if r.condition.startswith("rule: ")]
        self.conditions = {
            r.condition: r.holds for r in reasons if not r.condition.startswith("rule: ")
        }
        assert len(self.conditions) + len(self.rules) == len(reasons), "each is reported once"

    def __call__(self, condition: str) -> bool:
        return self.conditions[condition]

    def all_locked(self, end: str) -> bool:
        return all(self(f"{leg} leg locked {end}") for leg in LEG_NAMES)

    @property
    def a_rule_holds(self) -> bool:
        return any(rule.holds for rule in self.rules)


def warns(given: Given, *, silence_counts: bool) -> bool:
    """The words of 14 CFR 23.729(f) and of the handbook, from the single conditions."""
    closed = any(given(f"lever {number} closed") for number in (1, 2))
    throttle = closed and not (silence_counts and given("throttle warning silenced"))
    return ((given("flaps beyond approach") or throttle) and not given.all_locked("down")) or all(
        given(name)
        for name in (
            "gear handle up and retraction refused",
            "weight on a strut",
            "this aircraft warns of it",
        )
    )


def concludes(name: str, given: Given) -> bool:
    """Whether the output is on, from the single conditions alone."""
    tested = given("lamp test held")
    if name == "horn":
        tested = tested and given("lamp test sounds the horn")
        return tested or given("gear warning test held") or warns(given, silence_counts=True)
    if lamps_of(twin())[name].warning_tested:
        tested = tested or given("gear warning test held")
    if name == "handle_red":
        at_end = given("gear handle at one of its ends")
        up = at_end and f"{LEG_NAMES[0]} leg locked up" in given.conditions
        agrees = at_end and given.all_locked("up" if up else "down")
        return tested or not agrees or warns(given, silence_counts=False)
    if name == "steering_green":
        return tested or all(
            given(condition)
            for condition in (
                "steering button held",
                "steering button released before this press",
                "weight on the nose strut",
                "nose leg locked down",
            )
        )
    leg, colour = name.split("_")
    down = given(f"{leg} leg locked down")
    if colour == "green":
        return tested or down
    return tested or not (down or given(f"{leg} leg locked up"))


def hold(bench: Bench) -> set[str]:
    """Compare every output with its reasons; the names of those that are on."""
    # All others: tests/logic/test_whole_reasons.py
    names = [*{*lamps_of(twin())} - {"simulator_disagrees_amber", "gear_warning_failed_amber"}]
    names.append("horn")
    on = (bench.lit if bench.horn == "silent" else {*bench.lit, "horn"}) & {*names}
    for name in names:
        given = Given(bench.logic.reasons(name))
        assert given.a_rule_holds is (name in on), (name, given.rules)
        assert concludes(name, given) is (name in on), (name, given.conditions)
    return on


FRACTIONS = st.sampled_from([None, 0.0, CLOSED, 0.25, 0.26, 0.285, OPEN])
MAYBE = st.sampled_from([None, True, False])
LOCKS = st.builds(LegLocks, MAYBE, MAYBE)
SWITCHES = st.one_of(
    st.fixed_dictionaries({"gear_handle": st.sampled_from(HandleContacts)}),
    st.fixed_dictionaries({"gear_handle": st.just(HandleContacts.UP)}),
    *(
        st.fixed_dictionaries({name: MAYBE})
        for name in ("horn_silence", "lamp_test", "warning_test", "steering_button")
    ),
    st.fixed_dictionaries({"dimmer": st.sampled_from([None, 0.0, 0.5])}),
)
AIRCRAFT = st.one_of(
    st.fixed_dictionaries({"throttle_fraction": st.tuples(FRACTIONS, FRACTIONS)}),
    st.fixed_dictionaries({"flap_deg": st.sampled_from([None, 0.0, 20.0, 20.5])}),
    st.fixed_dictionaries({"strut_compressed": st.tuples(MAYBE, MAYBE, MAYBE)}),
    st.fixed_dictionaries({"strut_compressed": st.just((True,) * 3) | st.just((False,) * 3)}),
    st.fixed_dictionaries({"gear_handle": st.sampled_from([None, UP, DOWN])}),
    st.fixed_dictionaries({"leg_locks": st.tuples(LOCKS, LOCKS, LOCKS)}),
)


@settings(max_examples=examples(80), deadline=None)
@given(
    starts=st.sampled_from(["air", "ground", "nowhere"]),
    own_legs=st.booleans(),
    quiet_test=st.booleans(),
    ground_warning=st.booleans(),
    changes=st.lists(
        st.tuples(st.sampled_from([0.0, 0.05, 0.3, 4.0, 20.0]), SWITCHES | AIRCRAFT),
        min_size=3,
        max_size=30,
    ),
)
def test_reasons_lead_to_what_is_shown(
    starts: str,
    own_legs: bool,
    quiet_test: bool,
    ground_warning: bool,
    changes: list[tuple[float, dict[str, Any]]],
) -> None:
    make = twin if own_legs else fed_twin
    bench = Bench(
        make(
            lamps={"lamp_test_sounds_horn": not quiet_test},
            gear_warning={"ground_handle_warning": ground_warning},
        )
    )
    if starts == "air":
        bench.at(0.0, switches("up"), air(gear_handle=UP))
    elif starts == "ground":
        bench.at(0.0, switches("down"), ground(gear_handle=DOWN))
    else:
        bench.at(0.0)
    hold(bench)
    for step_s, change in changes:
        panel, state = bench.switches, bench.aircraft
        if set(change) <= {"strut_compressed", "throttle_fraction", "flap_deg", "leg_locks"} or (
            "gear_handle" in change and not isinstance(change["gear_handle"], HandleContacts)
        ):
            state = replace(state, **change)
        else:
            panel = panel.having(**change)
        bench.after(step_s, panel, state)
        for name in hold(bench):
            event(f"{name} on")


def lines(bench: Bench, name: str) -> list[tuple[str, bool, str]]:
    return [(r.condition, r.holds, r.detail) for r in bench.logic.reasons(name)]


def test_the_horn_says_why_it_sounds() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    reported = lines(bench, "horn")
    assert reported[:5] == [
        (
            "rule: flaps beyond approach and gear not locked down",
            False,
            "sounds the horn, nothing silences it, 14 CFR 23.729(f)(2)",
        ),
        (
            "rule: throttle closed and gear not locked down",
            True,
            "sounds the horn until it is silenced, 14 CFR 23.729(f)(1)",
        ),
        (
            "rule: gear handle up on the ground",
            False,
            "sounds the horn until it is silenced, FAA Airplane Flying Handbook ch. 12",
        ),
        ("rule: lamp test", False, "sounds the horn"),
        ("rule: gear warning test", False, "sounds the horn"),
    ]
    assert reported[5:] == [
        ("flaps beyond approach", False, "0.00 <= 20.00 degrees"),
        ("gear locked down", False, ""),
        ("nose leg locked down", False, "down-lock not made, up-lock made"),
        ("left leg locked down", False, "down-lock not made, up-lock made"),
        ("right leg locked down", False, "down-lock not made, up-lock made"),
        ("a throttle closed", True, ""),
        ("lever 1 closed", True, "0.10 <= 0.25"),
        ("lever 2 closed", False, "0.80 > 0.25"),
        ("throttle warning silenced", False, ""),
        ("gear handle up and retraction refused", False, "handle up"),
        ("weight on a strut", False, ""),
        ("this aircraft warns of it", True, "set by gear_warning.ground_handle_warning"),
        ("ground handle warning silenced", False, ""),
        ("lamp test held", False, ""),
        ("lamp test sounds the horn", True, "set by lamps.lamp_test_sounds_horn"),
        ("gear warning test held", False, ""),
        ("horn of the test silenced", False, "allowed by lamps.silence_stops_test"),
    ]


def test_a_silenced_horn_says_since_when() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    assert hold(bench) == {"handle_red"}, "silence acts on the horn alone"
    assert ("throttle warning silenced", True, "since 1.520 s") in lines(bench, "horn")
    bench.throttles(OPEN, OPEN)
    assert ("throttle warning silenced", False, "") in lines(bench, "horn")


@pytest.mark.parametrize(
    ("fractions", "wait_s", "reported"),
    [
        ((CLOSED,), 0.5, (True, "0.10 <= 0.25")),
        ((CLOSED,), 0.05, (False, "0.10 <= 0.25, not yet for 0.1 s")),
        ((CLOSED, 0.27), 0.5, (True, "0.27 <= 0.28")),
        ((0.27,), 0.5, (False, "0.27 > 0.25")),
        ((CLOSED, 0.9), 0.05, (True, "0.90 > 0.28, not yet for 0.1 s")),
        ((0.2500001,), 0.5, (False, "0.2500001 > 0.25")),
        ((CLOSED, None), 0.5, (True, "unknown: kept")),
    ],
)
def test_a_lever_reports_its_value_its_limit_and_its_settling(
    fractions: Sequence[float], wait_s: float, reported: tuple[bool, str]
) -> None:
    bench = flying_gear_up()
    for number, fraction in enumerate(fractions):
        last = number == len(fractions) - 1
        bench.after(0.01, aircraft=changed(bench.aircraft, throttle_fraction=(fraction, OPEN)))
        bench.after(wait_s if last else 0.5)
    assert ("lever 1 closed", *reported) in lines(bench, "horn")


def test_what_was_never_known_says_so() -> None:
    bench = Bench()
    bench.at(0.0)
    reported = lines(bench, "horn")
    assert ("lever 2 closed", False, "unknown") in reported
    assert ("flaps beyond approach", False, "unknown: kept") in reported
    bench = Bench(fed_twin())
    bench.at(0.0)
    assert lines(bench, "nose_red") == [
        ("rule: leg not locked", True, "lights the red"),
        (
            "rule: leg sensed in transit",
            False,
            "lights the red whatever the lock switches say",
        ),
        ("rule: lamp test", False, "lights every lamp fully"),
        ("rule: gear warning test", False, "lights the lamps of the gear"),
        ("nose leg locked down", False, "down-lock unknown, up-lock unknown"),
        ("nose leg locked up", False, "down-lock unknown, up-lock unknown"),
        ("nose leg sensed in transit", False, ""),
        ("lamp test held", False, ""),
        ("gear warning test held", False, ""),
    ]


def test_the_handle_s_lamp_says_with_whom_it_disagrees() -> None:
    bench = on_ground()
    bench.after(1.0, switches("up"))
    reported = lines(bench, "handle_red")
    assert (
        "rule: gear not locked where the handle stands",
        True,
        "lights the handle, 14 CFR 25.729(e)(7)",
    ) in reported
    assert ("gear handle at one of its ends", True, "up") in reported
    assert ("left leg locked up", False, "down-lock made, up-lock not made") in reported
    assert ("weight on a strut", True, "nose, left, right") in reported
    assert ("rule: gear handle up on the ground", True) in {one[:2] for one in reported}
    bench.after(0.1, switches("between"))
    reported = lines(bench, "handle_red")
    assert ("gear handle at one of its ends", False, "between") in reported
    assert ("left leg locked up", False, "down-lock made, up-lock not made") not in reported


def test_steering_says_what_is_missing() -> None:
    bench = on_ground()
    bench.after(0.1, switches("down", steering_button=True))
    assert [one for one in lines(bench, "steering_green") if not one[1]] == [
        ("rule: lamp test", False, "lights every lamp fully"),
        ("lamp test held", False, ""),
    ]
    bench.after(1.0, aircraft=air())
    bench.after(1.0)
    assert ("weight on the nose strut", False, "") in lines(bench, "steering_green")


@pytest.mark.parametrize("name", ["", "Horn", "rear_green", "nose"])
def test_an_unknown_name_is_an_error(name: str) -> None:
    bench = on_ground()
    with pytest.raises(LogicError, match=f"no signal is named '{name}'") as caught:
        bench.logic.reasons(name)
    assert "nose_green" in caught.value.hint
    assert caught.value.hint.endswith("horn")


def test_a_value_has_the_signals_that_its_system_looked_at() -> None:
    bench = on_ground()
    found = {one.condition: one.detail for one in bench.logic.reasons("gear_command")}
    assert found["gear_handle"] == "it is down"
    assert found["on_ground"] == "it is true"
    assert "gear_command" not in found
    assert bench.logic.reasons("gear_handle") == ()
    assert bench.logic.reasons("flap_deg") == ()
    bench.logic.set_fault(bench.now_s, "nose", "hung")
    assert ("fault of nose", "hung") in {
        (one.condition, one.detail) for one in bench.logic.reasons("nose_leg")
    }


def test_an_aircraft_without_steering_has_no_lamp_of_it() -> None:
    bench = on_ground(twin(steering={"steering_leg": None}))
    with pytest.raises(LogicError, match="no signal is named 'steering_green'"):
        bench.logic.reasons("steering_green")


def test_asking_changes_nothing() -> None:
    asked, silent = flying_gear_up(), flying_gear_up()
    for bench in (asked, silent):
        bench.throttles(CLOSED, OPEN)
        if bench is asked:
            for name in (*lamps_of(twin()), "horn"):
                assert bench.logic.reasons(name) == bench.logic.reasons(name)
        bench.press("horn_silence")
        bench.throttles(CLOSED, CLOSED)
    assert asked.history == silent.history
    assert asked.events == silent.events


def test_a_rule_needs_every_field_as_it_says() -> None:
    assert Rule("one", (("is_agreeing", True),)).holds(GearFacts())
    both = Rule("both", (("up_locked", True), ("down_locked", False)))
    for up in (True, False, None):
        for down in (True, False, None):
            assert both.holds(LegLocks(up, down)) is (up is True and down is False)


def test_a_value_against_its_limit() -> None:
    assert against(0.1, 0.32) == "0.10 <= 0.32"
    assert against(25, 22) == "25.00 > 22.00"
    assert against(22.001, 22.0) == "22.001 > 22.0"
    assert against(22.0, 22.0) == "22.00 <= 22.00"
