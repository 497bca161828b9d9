"""Every scenario that ships passes, and each of a published rule names that rule."""

from __future__ import annotations

import re
from functools import cache, partial

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import expectations_of, result_text
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.kit.chart import transitions_of
from panelbridge.logic.systems import CHARTS
from tests.bench.made import TARGETS

SCENARIOS = shipped_config("scenarios/README.md").parent
PUBLISHED = sorted([*SCENARIOS.glob("*.yaml"), *(SCENARIOS / "twin_jet").glob("*.yaml")])
EXAMPLES = sorted((SCENARIOS / "examples").glob("*.yaml"))
ALL = sorted(SCENARIOS.rglob("*.yaml"))
plans_of = cache(partial(load_scenarios, targets=TARGETS))
"""The scenarios of a file, read once."""
SOURCE = re.compile(
    r"CFR \d+\.\d+|CAR \d+b?\.\d+|FAA Airplane Flying Handbook|TM \d+-\d+|NAVEDTRA \d+"
    r"|US Navy (P-307|1278BK1)|FAA-H-8083-31|MIL-STD-\d+|CS \d+\.\d+"
    r"|^common practice, no source$"
)
"""A document by its number or title, or plainly none: who only says "the rule" names none."""


def test_there_are_scenarios_to_run() -> None:
    assert PUBLISHED
    assert EXAMPLES


def test_shipped_scenarios_name_their_rule_or_say_that_there_is_none() -> None:
    plans = [plan for path in PUBLISHED for plan in plans_of(path)]
    assert not [(plan.title, plan.source) for plan in plans if not SOURCE.search(plan.source)]


def test_every_shipped_scenario_passes_and_the_readme_lists_what_none_does() -> None:
    """The one run of them all in the tests."""
    failed, taken = [], set[str]()
    for path in ALL:
        plans = plans_of(path)
        assert plans, f"{path} has no scenario"
        for plan in plans:
            assert expectations_of(plan), f"{plan.title} expects nothing"
            result = run_scenario(plan)
            if not result.passed or not any(mark.passed for mark in result.trace.marks):
                failed.append(result_text(result))
            taken |= result.trace.taken_transitions
    assert not failed, "\n".join(failed)
    text = (SCENARIOS / "README.md").read_text(encoding="utf-8")
    section = text.partition("## What the shipped scenarios reach")[2].partition("\n## ")[0]
    listed = set(re.findall(r"^\| `(\w+ -> \w+)` \| \w", section, re.MULTILINE))
    edges = {f"{a} -> {b}" for _, a, _, b in transitions_of(CHARTS)}
    assert edges - taken == listed
    assert len(edges) > 100


def test_every_system_is_in_a_scenario_with_a_time_course() -> None:
    """The twin jet's own: each rule that runs for a while in the whole aircraft."""
    names = {path.stem for path in (SCENARIOS / "twin_jet").glob("*.yaml")}
    assert names >= {
        *("travel_limit", "down_without_pressure", "emergency_air", "handle_lock"),
        *("doors_in_sequence", "gear_speeds", "horn_gates"),
        *("parking_brake", "stored_brakes", "antiskid_needs_all", "touchdown_protection"),
        *("steering_with_speed", "pressure_of_any_engine", "pump_cycles", "retraction_test"),
    }
