"""One wrong line in the logic: the shipped scenarios fail, and their reasons name the rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import report_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic import gear_warning, landing_gear, reasons, throttle_levers
from panelbridge.logic.gear_warning import FLAPS, THROTTLE, GearWarning
from panelbridge.logic.rule import Rule

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"
SHIPPED = sorted(SCENARIOS.glob("*.yaml"))


Told = set[tuple[str, bool, str]]


def told_when_wrong(name: str, rule: str) -> Told:
    """Run a shipped scenario that has to fail; every reason of its failures.

    The report that a person reads has the name of the rule in it.
    """
    results = [run_scenario(plan) for plan in load_scenarios(SCENARIOS / f"{name}.yaml")]
    failures = [failure for result in results for failure in result.failures]
    assert failures, "it passed"
    # Line breaks cut names.
    assert f"rule: {rule}" in " ".join(report_text(results).split())
    return {
        (reason.condition, reason.holds, reason.detail)
        for failure in failures
        for reasons_of_one in failure.reasons.values()
        for reason in reasons_of_one
    }


def rules_in(told: Told) -> set[tuple[str, bool]]:
    """The rules among the reasons, and whether they hold."""
    return {(c.removeprefix("rule: "), holds) for c, holds, _ in told if c.startswith("rule: ")}


def change_rules(
    monkeypatch: pytest.MonkeyPatch, table: str, change: Callable[[Rule], Rule]
) -> None:
    """Replace a table of rules where it decides and where it tells."""
    rules = tuple(change(rule) for rule in getattr(gear_warning, table))
    monkeypatch.setattr(gear_warning, table, rules)
    monkeypatch.setattr(reasons, table, rules)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_with_the_right_rules_every_shipped_scenario_passes_and_names_its_source(
    path: Path,
) -> None:
    for plan in load_scenarios(path):
        result = run_scenario(plan)
        assert result.passed, report_text([result])
    assert "\nsource: " in path.read_text(encoding="utf-8")


def test_silence_that_does_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    change_rules(
        monkeypatch,
        "SOUNDING_RULES",
        lambda rule: replace(rule, needs=tuple(n for n in rule.needs if n[0] != "silenced")),
    )
    told = told_when_wrong("horn_rearms_at_second_lever", THROTTLE)
    assert (THROTTLE, True) in rules_in(told)
    assert "throttle warning silenced" not in {c for c, _, _ in told}, "it does not look at it"


def test_flaps_that_can_be_silenced(monkeypatch: pytest.MonkeyPatch) -> None:
    change_rules(
        monkeypatch,
        "SOUNDING_RULES",
        lambda rule: replace(rule, needs=tuple(dict([*rule.needs, ("silenced", False)]).items())),
    )
    told = told_when_wrong("horn_flaps_not_silenced", FLAPS)
    assert (FLAPS, False) in rules_in(told)
    assert ("flaps beyond approach", True, "22.50 > 22.00 degrees") in told
    assert "throttle warning silenced" in {c for c, holds, _ in told if holds}


def test_a_lever_limit_that_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    right = throttle_levers.ThrottleLevers.__init__

    def wrong(self: throttle_levers.ThrottleLevers, engines: int, **numbers: object) -> None:
        right(self, engines, **{**numbers, "limit_fraction": 0.05})  # type: ignore[arg-type]

    monkeypatch.setattr(throttle_levers.ThrottleLevers, "__init__", wrong)
    told = told_when_wrong("horn_not_silenced_before", THROTTLE)
    assert (THROTTLE, False) in rules_in(told)
    assert ("lever 1 closed", False, "0.10 > 0.05") in told


def test_a_flap_limit_that_counts_as_beyond(monkeypatch: pytest.MonkeyPatch) -> None:
    def wrong(self: GearWarning, flap_deg: float | None) -> bool:
        beyond = flap_deg is not None and flap_deg >= self._parameters.flap_limit_deg
        changed, self._flaps_beyond = beyond is not self._flaps_beyond, beyond
        return changed

    monkeypatch.setattr(GearWarning, "take_flaps", wrong)
    told = told_when_wrong("horn_table", FLAPS)
    assert (FLAPS, True) in rules_in(told)
    assert ("flaps beyond approach", True, "22.00 <= 22.00 degrees") in told


def test_a_red_that_is_lit_for_a_leg_locked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = Rule("leg not locked", (("is_down", False),), "lights the red")
    monkeypatch.setattr(landing_gear, "red_lit", wrong.holds)
    monkeypatch.setattr(reasons, "RED_RULES", (wrong,))
    told = told_when_wrong("three_patterns", "leg not locked")
    assert ("rule: leg not locked", True, "lights the red") in told
    assert ("nose leg locked down", False, "down-lock not made, up-lock made") in told
