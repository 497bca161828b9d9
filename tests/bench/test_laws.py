"""The laws of every scenario: what breaks them, and what only looks like it."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.trace import Sample, ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.signals import AircraftState, Commands, GearPosition, LegLocks, LegState
from tests.bench.made import Run, cells_in, having, having_legs

TWIN_JET = shipped_config("aircraft/twin_jet.yaml")
JET = load_aircraft(TWIN_JET)
LEGS = JET.leg_names


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs the steps of a scenario; ``legs`` is the authority for them."""

    def run_steps(steps: str, start: str = "", legs: str = "model") -> ScenarioResult:
        aircraft = tmp_path / "aircraft.yaml"
        text = TWIN_JET.read_text("utf-8")
        assert text.count("  legs: model") == 1
        aircraft.write_text(text.replace("  legs: model", f"  legs: {legs}"), encoding="utf-8")
        path = tmp_path / "scenario.yaml"
        head = "kind: scenario\nformat: 2\nname: Test\naircraft: aircraft.yaml\n"
        head += f"start: {start}\n" if start else ""
        path.write_text(f"{head}steps:\n{steps}", encoding="utf-8")
        return run_scenario(load_scenarios(path)[0])

    return run_steps


def watch_of(sample: Sample) -> LawWatch:
    return LawWatch(sample, LEGS)


def jump(sample: Sample) -> Sample:
    """The sample, 2 s later, with every leg in its other lock and the greens dark."""
    legs = [_other_end(leg) for leg in sample[GearFacts].legs]
    lamps = dict.fromkeys(sample.shown.outputs.lamps, 0)
    outputs = replace(sample.shown.outputs, lamps=lamps)
    return having_legs(sample, legs, time_s=sample.time_s + 2.0, outputs=outputs)


def _other_end(leg: LegFacts) -> LegFacts:
    if leg.state is LegState.DOWN_LOCKED:
        return replace(leg, state=LegState.UP_LOCKED, locks=LegLocks(True, False))
    return replace(leg, state=LegState.DOWN_LOCKED, locks=LegLocks(False, True))


def with_aircraft(sample: Sample, state: AircraftState) -> Sample:
    return Sample(sample.time_s, sample.having(cells_in(JET, state)))


def test_legs_that_are_found_locked_up_have_not_jumped(run: Run) -> None:
    result = run(
        "  - { at_s: 1, expect: { gear: locked_down } }\n"
        "  - { at_s: 2, set: { struts: extended, simulator_handle: up },"
        " expect: { gear: locked_up } }\n"
    )
    assert result.failures == ()


def test_legs_that_were_found_before_can_jump_though_data_was_lost_meanwhile(run: Run) -> None:
    found = run("  - { at_s: 1, expect: { gear: locked_up } }\n", "cruise clean").trace.samples[-1]
    on_ground = replace(found[AirGroundFacts], ground_for_commands=True)
    lost = having(with_aircraft(found, AircraftState()), on_ground)
    watch = watch_of(found)
    assert list(watch.look(lost)) == []
    assert [actual for _, actual in watch.look(jump(found))] == [
        f"the {leg} leg went from up locked to down locked" for leg in ("nose", "left", "right")
    ]


def test_a_jump_after_they_were_found_is_one(run: Run) -> None:
    unknown = run("  - { at_s: 1, expect: { gear: locked_down } }\n").trace.samples[-1]
    watch = watch_of(unknown)
    found = with_aircraft(jump(unknown), AircraftState(strut_compressed=(None, None, False)))
    assert list(watch.look(found)) == []
    assert len(list(watch.look(jump(found)))) == 3


def lighting(sample: Sample, lamp: str) -> Sample:
    """The sample with a lamp commanded to light."""
    outputs = sample.shown.outputs
    return having(sample, outputs=replace(outputs, lamps={**outputs.lamps, lamp: 255}))


def locks(up: str, down: str) -> str:
    """Every lock switch of every leg."""
    legs = ("nose", "left", "right")
    return ", ".join(f"{leg}_up_lock: {up}, {leg}_down_lock: {down}" for leg in legs)


def test_locks_that_the_scenario_itself_sets_go_as_it_says(run: Run) -> None:
    down, up = locks("open", "made"), locks("made", "open")
    result = run(
        f"  - {{ at_s: 1, set: {{ {down} }}, expect: {{ gear: locked_down, greens: lit }} }}\n"
        f"  - {{ at_s: 2, set: {{ {up} }}, expect: {{ gear: locked_up, greens: dark }} }}\n",
        "cruise clean",
        "feed",
    )
    assert result.failures == ()


@pytest.mark.parametrize("test", ["lamp_test", "warning_test"])
def test_a_test_excuses_a_green_lamp_for_as_long_as_it_is_held(run: Run, test: str) -> None:
    sample = run("  - { at_s: 1, expect: { gear: locked_up } }\n", "cruise clean").trace.samples[-1]
    lit = lighting(sample, "left_green")
    broken = list(watch_of(sample).look(lit))
    assert [actual for _, actual in broken] == ["left_green is lit, the left leg is up locked"]
    held = {test: True}
    watch = watch_of(sample)
    assert list(watch.look(having(lit, replace(sample[LampFacts], **held)))) == []
    assert len(list(watch.look(lit))) == 1, "the test has ended, and it is lit still"


def test_a_change_of_anything_a_law_reads_is_looked_at(run: Run) -> None:
    up = run("  - { at_s: 1, expect: { gear: locked_up } }\n", "cruise clean").trace.samples[-1]
    jumped = having(jump(up), outputs=up.shown.outputs)
    assert len(list(watch_of(up).look(jumped))) == 3, "the legs alone have changed"
    lit = lighting(up, "nose_green")
    assert len(list(watch_of(up).look(lit))) == 1, "the outputs alone have changed"


def test_weight_on_a_leg_that_is_up_breaks_nothing(run: Run) -> None:
    up = run("  - { at_s: 1, expect: { gear: locked_up } }\n", "cruise clean").trace.samples[-1]
    before = having(up, commands=Commands())
    heavy = replace(up[AirGroundFacts], struts=(True, True, True))
    raised = having(up, heavy, commands=Commands(gear=GearPosition.UP))
    assert list(watch_of(before).look(raised)) == []


def test_a_broken_law_stands_at_the_step_that_was_on(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        LawWatch, "look", lambda self, sample: [("law", "broken")] if sample.time_s > 1.5 else []
    )
    steps = "  - { at_s: 1, set: { flap_deg: 1 } }\n  - { at_s: 2, set: { flap_deg: 2 } }\n"
    (failure,) = run(steps, "cruise clean").failures
    assert (failure.time_s, failure.spot.line) == (2.0, 8)
