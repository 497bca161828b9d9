"""For every lamp of whole aircraft and for the horn: the reasons conclude what is shown.

A lamp is lit and the horn sounds exactly when a rule (``rule: ...``) holds; a flashing lamp may be
dark all the same; without electrical power nothing is lit, and that is the one reason.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.logic.kit.rule import Decision
from panelbridge.logic.panel_views import UNPOWERED
from tests.examples import examples
from tests.logic.whole_aircraft import KINDS, fed
from tests.logic.whole_runs import Move, Run, began, moves_of

ALL = {**KINDS, "fed_jet": fed("jet"), "fed_tail_wheel": fed("tail_wheel")}
LIVE = ("above_vlo_extend", "above_vlo_retract", "above_vle")
"""Reported with the airspeed of now, though no rule has read a limit that does not hold now."""


def decisions(run: Run, name: str) -> list[Decision]:
    """What decides an output, from the logic's inside."""
    world = run.logic._world()
    return [one for system in run.logic._systems for one in system.decisions(name, world)]


def hold(run: Run) -> None:
    """Every output has the reasons for what it shows."""
    flashing = run.parameters.lamps.flashing
    for name in (*run.lamp_names, "horn"):
        on = run.horn_sounds if name == "horn" else name in run.lit
        reasons = run.logic.reasons(name)
        if not run.powered:
            assert reasons == (UNPOWERED,)
            assert not on
            continue
        rules = [one for one in reasons if one.condition.startswith("rule: ")]
        concluded = any(rule.holds for rule in rules)
        if name not in flashing or on:
            assert concluded is on, (name, [rule for rule in rules if rule.holds])
        assert rules, name
        assert len(set(reasons)) == len(reasons), "each is reported once"
        for decision in decisions(run, name):
            _reported_wholly(run, name, decision)


def _reported_wholly(run: Run, name: str, decision: Decision) -> None:
    """Each condition that a rule needs is reported, a single one with its own truth."""
    warning = run.parameters.gear_warning
    gates = (warning.quiet_from_kias, warning.inhibit_above_ft)
    for rule in decision.rules:
        for need, _ in rule.needs:
            reported = decision.words[need]
            if need == "inhibited" and gates == (None, None):
                assert not reported, "nothing can inhibit it"
                continue
            assert reported, (name, need)
            if len(reported) == 1 and need not in LIVE:
                value = getattr(decision.conditions, need)
                assert reported[0].holds is value, (name, need, reported[0], value)
            assert all(reason.condition for reason in reported)


@pytest.mark.parametrize("kind", ALL)
@settings(max_examples=examples(25), deadline=None)
@given(data=st.data())
def test_reasons_conclude_what_is_shown(kind: str, data: st.DataObject) -> None:
    run = Run(ALL[kind])
    for wait_s, move in data.draw(moves_of(ALL[kind], most=18)):
        run.move(wait_s, move)
        hold(run)
        run.step(run.now_s)
        hold(run)


@pytest.mark.parametrize("kind", ALL)
def test_every_lamp_and_the_horn_has_its_rules_at_rest_and_in_a_test(kind: str) -> None:
    run = began(ALL[kind], "parked")
    hold(run)
    for name in ("lamp_test", "warning_test"):
        run.move(0.1, Move({name: True}))
        hold(run)
        run.move(0.1, Move({name: False}))
    run.move(0.1, Move({}, {"bus_powered": False}))
    hold(run)


def test_a_limit_that_does_not_hold_reports_the_airspeed_of_now() -> None:
    run = began(KINDS["piston"], "gear up")
    for kias in (100.0, 141.0, 162.0, 90.0):
        run.move(0.1, Move({}, {"airspeed_kias": kias}))
        reported = [r for r in run.logic.reasons("speed_amber") if "VLO to extend" in r.condition]
        assert [(r.holds, r.detail) for r in reported] == [
            (kias > 130.0, f"{kias:.1f} knots, limit 130")
        ]


@pytest.mark.parametrize("lamp", ["parking_brake_amber", "taxi_blue", "handle_red"])
def test_a_conclusion_that_is_wrong_is_seen(lamp: str) -> None:
    run = began(KINDS["jet"], "parked")
    outputs = run.result.outputs
    wrong = {**outputs.lamps, lamp: 0 if outputs.lamps[lamp] else 200}
    run.result = replace(run.result, outputs=replace(outputs, lamps=wrong))
    with pytest.raises(AssertionError, match=lamp):
        hold(run)
