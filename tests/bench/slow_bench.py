"""The language of ``stub_bench`` with a case that takes for ever."""

from __future__ import annotations

import os

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.clock import LiveClock
from tests.bench import stub_bench

load = stub_bench.load


def run(plan: ScenarioPlan) -> ScenarioResult:
    """As ``stub_bench.run``; a case that sleeps says who it is and does so for a minute."""
    if plan.steps[0].note == "sleeps":
        beside = plan.path.with_suffix(".tmp")
        beside.write_text(str(os.getpid()), encoding="utf-8")
        beside.replace(plan.path.with_suffix(".asleep"))
        LiveClock().sleep_until(60.0)
    return stub_bench.run(plan)
