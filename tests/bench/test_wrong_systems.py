"""One wrong system: a shipped scenario fails and says what was expected, and why it is not so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from msgspec import structs

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import failure_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.air_ground.system import AirGround
from panelbridge.logic.gear import rules as gear_rules
from panelbridge.logic.gear_warning import silence
from panelbridge.logic.gear_warning.silence import Silence
from panelbridge.logic.kit.world import World

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"


def failures_of(name: str) -> str:
    """The failures of a shipped scenario as a person reads them, line breaks taken out."""
    (plan,) = load_scenarios(SCENARIOS / f"{name}.yaml")
    return " ".join(" ".join(map(failure_text, run_scenario(plan).failures)).split())


def test_a_second_lever_that_does_not_rearm(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(silence, "closed_now", lambda before, now: False)
    assert "holds throttle warning silenced" in failures_of("horn_rearms_at_second_lever")


def test_a_silence_that_outlives_reopening(monkeypatch: pytest.MonkeyPatch) -> None:
    right = Silence.follow

    def wrong(self: Silence, *parameters: Any, rule: bool, **levers: Any) -> Silence:
        if self.holds and not rule:
            return self
        return right(self, *parameters, rule=rule, **levers)

    monkeypatch.setattr(Silence, "follow", wrong)
    assert "horn_silenced" in failures_of("horn_reset_by_opening")


def test_a_green_in_transit(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = replace(gear_rules.LEG_LOCKED_DOWN, needs=(("is_up", False),))
    monkeypatch.setattr(gear_rules, "LEG_LOCKED_DOWN", wrong)
    assert "nose_green" in failures_of("three_patterns")


def test_a_retraction_on_the_ground(monkeypatch: pytest.MonkeyPatch) -> None:
    right = AirGround.update

    def wrong(self: AirGround, now_s: float, world: World) -> AirGroundFacts:
        return structs.replace(right(self, now_s, world), ground_for_commands=False)

    monkeypatch.setattr(AirGround, "update", wrong)
    assert "ground_retract_refused" in failures_of("squat_switch_holds_the_gear")
