"""Why: what would change an outcome flips it, and *since when* is when it last changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_folder
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.explaining import Explainer
from panelbridge.logic.kit.conditions import Condition, condition_from, leaves, truth_of
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.rule import Decision, Rule
from panelbridge.logic.kit.turning import Way, is_on, ways_to_turn, words_of_way
from panelbridge.logic.kit.world import World
from panelbridge.logic.own.what_if import WhatIf
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.systems import make_systems
from panelbridge.logic.vocabulary import signals_of
from panelbridge.signals import AircraftState, HornPattern, Reason, SwitchState, Value
from tests.examples import examples
from tests.logic.whole_aircraft import KINDS
from tests.logic.whole_runs import Run, moves_of

QUICK = (Phase.explicit, Phase.generate, Phase.shrink)
SHIPPED = sorted((shipped_folder() / "aircraft").glob("*.yaml"))


def own_conditions() -> list[tuple[str, Condition, dict[str, Signal]]]:
    """Every condition of a lamp or horn rule in the shipped aircraft files."""
    found = []
    for path in SHIPPED:
        aircraft = load_aircraft(path)
        signals = dict(signals_of(values_of(aircraft), make_systems(aircraft)))
        groups = {name: one.lit_when for name, one in aircraft.own_lamps.items()}
        groups |= {name: one.sounds_when for name, one in aircraft.own_horn.items()}
        found += [(name, condition_from(group), signals) for name, group in groups.items()]
    return found


OWN = own_conditions()


def value_of(signal: Signal, data: st.DataObject, condition: Condition) -> Value:
    """Anything that the signal can be, and what the condition asks for more often."""
    asked = [leaf.value for leaf in leaves(condition) if signal.name in leaf.signals]
    if signal.form == "number":
        limits = [float(one) for one in asked if isinstance(one, (int, float))]
        near = [limit + step for limit in limits for step in (-1.0, -1e-6, 0.0, 1e-6, 1.0)]
        low, high = max(signal.low, -1e4), min(signal.high, 1e4)
        inside = [one for one in near if low <= one <= high]
        return data.draw(st.sampled_from([None, low, high, *inside]) | st.floats(low, high))
    if signal.form == "yes_no":
        return data.draw(st.sampled_from([None, False, True]))
    return data.draw(st.sampled_from([None, *asked, *signal.words]))


def truth(condition: Condition, values: dict[str, Value]) -> bool | None:
    """The condition, with the one evaluator that lamps are lit by, over plain values."""

    def signal(name: str) -> Signal:
        return Signal(name, "number", name, lambda _: values[name])

    return truth_of(condition, {name: signal(name) for name in values})(World({}, 0.0))


def asked_with(named: dict[str, Signal], values: dict[str, Value]) -> dict[str, Signal]:
    """The signals with values of our own."""

    def reads(name: str) -> Callable[[World], Value]:
        return lambda _: values[name]

    return {name: replace(one, read=reads(name)) for name, one in named.items()}


@pytest.mark.parametrize(("name", "condition", "signals"), OWN, ids=[one[0] for one in OWN])
@settings(max_examples=60, deadline=None, phases=QUICK)
@given(data=st.data())
def test_each_way_flips_a_condition_of_the_shipped_aircraft(
    name: str, condition: Condition, signals: dict[str, Signal], data: st.DataObject
) -> None:
    """Changed as a way says, and nothing else, the lamp is lit that was dark, or dark again."""
    named = list(dict.fromkeys(name for leaf in leaves(condition) for name in leaf.signals))
    values = {one: value_of(signals[one], data, condition) for one in named}
    asked = asked_with({one: signals[one] for one in named}, values)
    ways = WhatIf(condition, asked).ways(World({}, 0.0))
    before = truth(condition, values) is True
    assert ways, (name, values)
    for way in ways:
        after = {**values, **{one.signal: one.value for one in way}}
        assert (truth(condition, after) is True) is not before, (values, way)
        # None of its changes is superfluous.
        for left_out in way:
            fewer = {**after, left_out.signal: values[left_out.signal]}
            assert (truth(condition, fewer) is True) is before or len(way) == 1, (values, way)


def test_the_nearest_value_is_given_with_the_limit_of_the_file() -> None:
    _, condition, signals = next(one for one in OWN if one[0] == "ready_white")
    values: dict[str, Value] = {
        "on_ground": True,
        "flap_deg": 2.0,
        "antiskid": "on",
        "parking_brake_state": "released",
    }
    what_if = WhatIf(condition, asked_with({one: signals[one] for one in values}, values))
    (way,) = what_if.ways(World({}, 0.0))
    assert [one.words for one in way] == ["flap angle: at least 8 degrees (now 2 degrees)"]
    values["flap_deg"] = 10.0
    words = [one.words for way in what_if.ways(World({}, 0.0)) for one in way]
    assert "flap angle: below 8 degrees (now 10 degrees)" in words
    assert "anti-skid: off (now on)" in words


class Turned:
    """Facts with some fields the other way round."""

    def __init__(self, facts: object, needs: set[str]) -> None:
        self._facts, self._needs = facts, needs

    def __getattr__(self, name: str) -> Any:
        value = getattr(self._facts, name)
        return not value if name in self._needs else value


def flips(decisions: list[Decision], way: Way) -> bool:
    """Whether the rules themselves give the opposite for the facts of a way."""
    before = any(rule.holds(one.conditions) for one in decisions for rule in one.rules)
    needs: dict[int, set[str]] = {}
    for turn in way:
        needs.setdefault(id(decisions[turn.decision].conditions), set()).add(turn.need)
    after = any(
        rule.holds(Turned(one.conditions, needs.get(id(one.conditions), set())))
        for one in decisions
        for rule in one.rules
    )
    return before is not after


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=12, deadline=None, phases=QUICK)
@given(data=st.data())
def test_each_way_flips_what_the_rules_of_the_systems_decide(
    kind: str, data: st.DataObject
) -> None:
    """Over random runs: every lamp and the horn have ways, and each of them flips it."""
    run = Run(KINDS[kind])
    explainer = Explainer(run.logic)
    for wait_s, move in data.draw(moves_of(KINDS[kind], most=8)):
        run.move(wait_s, move)
    for name in (*run.lamp_names, "horn"):
        decisions = [one for _, one in run.logic.decisions(name)]
        ways = ways_to_turn(decisions)
        assert ways, name
        assert all(flips(decisions, way) for way in ways), name
        found = explainer.explain(name)
        assert found is not None
        assert found.changes, name
        texts = [text for way in found.changes for text in way]
        assert all(found.changes), name
        assert all(text.startswith("'") or ": " in text for text in texts), (name, texts)
        on = run.horn_sounds if name == "horn" else name in run.lit
        if name not in run.parameters.lamps.flashing:
            assert (found.state not in ("dark", "silent")) is on, name


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=examples(25), deadline=None, phases=QUICK)
@given(data=st.data())
def test_since_when_is_the_last_change_of_the_outcome(kind: str, data: st.DataObject) -> None:
    run = Run(KINDS[kind])
    explainer = Explainer(run.logic)
    before: dict[str, object] = {}
    since_s: dict[str, float] = {}
    flashing = run.parameters.lamps.flashing
    for wait_s, move in data.draw(moves_of(KINDS[kind], most=14)):
        run.move(wait_s, move)
        explainer.look(run.now_s, run.logic.changes)
        now: dict[str, object] = {
            name: name in run.lit for name in run.lamp_names if name not in flashing
        }
        now["horn"] = run.result.outputs.horn
        now |= {f"horn: {cause}": True for cause in run.logic.view().horn_causes}
        now |= {f"fault: {fault}": True for fault in run.logic.view().faults}
        gone = {name: False for name in before if name not in now}
        for name, value in (now | gone).items():
            if name not in before or before[name] != value:
                since_s[name] = run.now_s
        before = now | gone
        for name, at_s in since_s.items():
            assert explainer.since_s(name) == at_s, name


def test_a_cause_and_a_fault_can_be_asked_for() -> None:
    run = Run(KINDS["jet"])
    explainer = Explainer(run.logic)
    assert explainer.explain("no_such_lamp_red") is None
    assert explainer.explain("horn: no such rule") is None
    fault = explainer.explain("fault: nothing of the kind")
    assert fault is not None
    assert fault.state == "not present"
    quiet = explainer.explain("horn: lamp test")
    assert quiet is not None
    assert quiet.state == "is quiet"
    assert quiet.changes == (("'lamp test held' becomes true",),)


def test_without_power_power_is_what_would_change_it() -> None:
    logic = PanelLogic(KINDS["jet"])
    logic.step(0.0, SwitchState(lamp_test=True), AircraftState(bus_powered=False))
    found = Explainer(logic).explain("horn")
    assert found is not None
    assert found.state == "silent"
    assert found.changes == (("'electrical power' becomes true",),)
    logic.step(1.0, SwitchState(lamp_test=True), AircraftState(bus_powered=True))
    assert logic.horn() is not HornPattern.SILENT


def test_a_way_that_another_rule_undoes_is_none() -> None:
    """Turned off for one rule, a field can put the next one on: such a way is not given."""

    class Facts:
        a = b = True

    words = {name: (Reason(name, True),) for name in "ab"}
    rules = (Rule("both", (("a", True), ("b", True))), Rule("not a", (("a", False),)))
    decisions = [Decision(rules, Facts(), words)]
    assert is_on(decisions)
    assert [[turn.need for turn in way] for way in ways_to_turn(decisions)] == [["b"]]


def test_words_among_the_values_have_the_time_of_their_last_change() -> None:
    explainer = Explainer(PanelLogic(KINDS["jet"]))
    explainer.look_at_values(1.0, {"a": None, "b": "idle", "c": 1.5})
    explainer.look_at_values(2.0, {"a": None, "b": "running", "c": 2.5})
    explainer.look_at_values(3.0, {"a": True, "b": "running", "c": None})
    assert [explainer.since_s(name) for name in "abc"] == [3.0, 2.0, 3.0]


def test_a_way_names_what_is_not_yet_as_it_must_be() -> None:
    """A field that follows from another (above a limit that counts only with the gear out)."""

    class Facts:
        gear_out = above = inhibited = False

    words = {
        "gear_out": (Reason("gear not locked up", False),),
        "above": (Reason("airspeed above the limit", True),),
        "inhibited": (),
    }
    rules = (
        Rule("gear out above the limit", (("gear_out", True), ("above", True))),
        Rule("never in this aircraft", (("inhibited", True),)),
    )
    decisions = [Decision(rules, Facts(), words)]
    texts = [words_of_way(decisions, way) for way in ways_to_turn(decisions)]
    assert texts == [[], [("'gear not locked up' becomes true",)]]
