"""One wrong system: a shipped scenario fails and says what was expected, and why it is not so."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import failure_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic import landing_gear
from panelbridge.logic.air_ground import AirGround
from panelbridge.logic.gear_warning import GearWarning

SCENARIOS = Path(__file__).parent.parent.parent / "configs" / "scenarios"


def failures_of(name: str) -> str:
    """The failures of a shipped scenario as a person reads them, line breaks taken out."""
    (plan,) = load_scenarios(SCENARIOS / f"{name}.yaml")
    return " ".join(" ".join(map(failure_text, run_scenario(plan).failures)).split())


def test_a_second_lever_that_does_not_rearm(monkeypatch: pytest.MonkeyPatch) -> None:
    right = GearWarning._follow_rule

    def wrong(self: GearWarning, *, all_down: bool) -> bool:
        self.levers.newly_closed = False
        return right(self, all_down=all_down)

    monkeypatch.setattr(GearWarning, "_follow_rule", wrong)
    assert "holds throttle warning silenced" in failures_of("horn_rearms_at_second_lever")


def test_a_silence_that_outlives_reopening(monkeypatch: pytest.MonkeyPatch) -> None:
    right = GearWarning._follow_rule

    def wrong(self: GearWarning, *, all_down: bool) -> bool:
        if self.conditions.silenced and not self.levers.any_closed:
            return True
        return right(self, all_down=all_down)

    monkeypatch.setattr(GearWarning, "_follow_rule", wrong)
    assert "horn_silenced" in failures_of("horn_reset_by_opening")


def test_a_green_in_transit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(landing_gear, "green_lit", lambda locks: not locks.is_up)
    assert "nose_green" in failures_of("three_patterns")


def test_a_retraction_on_the_ground(monkeypatch: pytest.MonkeyPatch) -> None:
    right = AirGround.update

    def wrong(self: AirGround, now_s: float) -> None:
        right(self, now_s)
        self.ground_for_commands = False

    monkeypatch.setattr(AirGround, "update", wrong)
    assert "ground_retract_refused" in failures_of("squat_switch_holds_the_gear")
