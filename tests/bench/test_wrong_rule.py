"""One wrong line in the logic: the shipped scenarios fail, and their reasons name the rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import result_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic.gear import rules as gear_rules
from panelbridge.logic.gear_warning import rules as warning_rules
from panelbridge.logic.gear_warning import system as gear_warning
from panelbridge.logic.gear_warning.levers import ThrottleLevers
from panelbridge.logic.gear_warning.rules import FLAPS, GROUND_HANDLE, THROTTLE
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Threshold, below
from panelbridge.logic.kit.rule import Rule
from panelbridge.logic.steering import system as steering
from panelbridge.logic.steering.rules import ENGAGED

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"

Reasons = set[tuple[str, bool, str]]


def reasons_when_wrong(name: str, rule: str) -> Reasons:
    """Run a shipped scenario that has to fail; every reason of its failures.

    The report that a person reads has the name of the rule in it.
    """
    results = [run_scenario(plan) for plan in load_scenarios(SCENARIOS / f"{name}.yaml")]
    failures = [failure for result in results for failure in result.failures]
    assert failures, "it passed"
    text = " ".join(map(result_text, results))  # line breaks cut names
    assert f"rule: {rule}" in " ".join(text.split())
    return {
        (reason.condition, reason.holds, reason.detail)
        for failure in failures
        for reasons_of_one in failure.reasons.values()
        for reason in reasons_of_one
    }


def rules_in(reasons: Reasons) -> set[tuple[str, bool]]:
    """The rules among the reasons, and whether they hold."""
    return {(c.removeprefix("rule: "), holds) for c, holds, _ in reasons if c.startswith("rule: ")}


def change_horn_rules(monkeypatch: pytest.MonkeyPatch, change: Callable[[Rule], Rule]) -> None:
    """Replace the declared rules of the horn."""
    rules = tuple(change(rule) for rule in warning_rules.SOUNDING_RULES)
    monkeypatch.setattr(warning_rules, "SOUNDING_RULES", rules)


def test_silence_that_does_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    change_horn_rules(
        monkeypatch,
        lambda rule: replace(rule, needs=tuple(n for n in rule.needs if n[0] != "silenced")),
    )
    reasons = reasons_when_wrong("horn_rearms_at_second_lever", THROTTLE)
    assert (THROTTLE, True) in rules_in(reasons)
    assert "throttle warning silenced" not in {c for c, _, _ in reasons}, "it does not look at it"


def test_flaps_that_can_be_silenced(monkeypatch: pytest.MonkeyPatch) -> None:
    change_horn_rules(
        monkeypatch,
        lambda rule: replace(rule, needs=tuple(dict([*rule.needs, ("silenced", False)]).items())),
    )
    reasons = reasons_when_wrong("horn_flaps_not_silenced", FLAPS)
    assert (FLAPS, False) in rules_in(reasons)
    assert ("flaps beyond approach", True, "22.50 > 22.00 degrees") in reasons
    assert "throttle warning silenced" in {c for c, holds, _ in reasons if holds}


def test_a_lever_limit_that_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    def wrong(engines: int, _: float, *more: Any, **named: Any) -> ThrottleLevers:
        return ThrottleLevers(engines, 0.05, *more, **named)

    monkeypatch.setattr(gear_warning, "ThrottleLevers", wrong)
    reasons = reasons_when_wrong("horn_not_silenced_before", THROTTLE)
    assert (THROTTLE, False) in rules_in(reasons)
    assert ("lever 1 closed", False, "0.10 > 0.05") in reasons


def test_a_flap_limit_that_counts_as_beyond(monkeypatch: pytest.MonkeyPatch) -> None:
    def wrong(of: Handle[float], limit: float) -> Threshold:
        return Threshold(of, below(limit))

    monkeypatch.setattr(gear_warning, "Threshold", wrong)
    reasons = reasons_when_wrong("horn_table", FLAPS)
    assert (FLAPS, True) in rules_in(reasons)
    assert ("flaps beyond approach", True, "22.00 <= 22.00 degrees") in reasons


def test_a_red_that_is_lit_for_a_leg_locked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = Rule("leg not locked", (("is_down", False),), "lights the red")
    monkeypatch.setattr(gear_rules, "RED_RULES", (wrong,))
    reasons = reasons_when_wrong("three_patterns", "leg not locked")
    assert ("rule: leg not locked", True, "lights the red") in reasons
    assert ("nose leg locked down", False, "down-lock not made, up-lock made") in reasons


def test_a_handle_up_on_the_ground_that_does_not_warn(monkeypatch: pytest.MonkeyPatch) -> None:
    needs = (("handle_up_on_ground", True), ("any_closed", True))
    change_horn_rules(
        monkeypatch,
        lambda rule: replace(rule, needs=needs) if rule.name == GROUND_HANDLE else rule,
    )
    reasons = reasons_when_wrong("squat_switch_holds_the_gear", GROUND_HANDLE)
    assert (GROUND_HANDLE, False) in rules_in(reasons)
    assert ("gear handle up and retraction refused", True, "handle up") in reasons


def test_steering_without_its_button(monkeypatch: pytest.MonkeyPatch) -> None:
    needs = tuple(need for need in ENGAGED.needs if need[0] not in ("held", "rising_edge"))
    wrong = replace(ENGAGED, needs=needs)
    monkeypatch.setattr(steering, "ENGAGED", wrong)
    reasons = reasons_when_wrong("steering_on_the_ground", wrong.name)
    assert (wrong.name, True) in rules_in(reasons)
    assert "steering button held" not in {c for c, _, _ in reasons}, "it does not look at it"
