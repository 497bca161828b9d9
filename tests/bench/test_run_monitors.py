"""An expectation alone: which samples are its business."""

from __future__ import annotations

from panelbridge.bench.language.expectations import ExpectThroughout
from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.make_monitor import monitor_of
from panelbridge.bench.verdict.monitors import AlwaysMonitor
from panelbridge.bench.verdict.trace import Sample
from panelbridge.bench.world.cockpit import BenchCockpit
from panelbridge.config.shipped import shipped_config
from tests.bench.made import having


def _plan() -> ScenarioPlan:
    (plan,) = load_scenarios(shipped_config("scenarios/examples/conditions.yaml"))
    return plan


def _throughout(plan: ScenarioPlan, for_s: float) -> AlwaysMonitor:
    """That the first condition of the plan holds, from 1 s on."""
    first = plan.steps[0].expectations[0]
    condition = getattr(first, "condition", None)
    assert condition is not None
    expected = ExpectThroughout(condition, for_s, first.spot)
    monitor = monitor_of(expected, signals_of(plan.aircraft, plan.panel), 1.0)
    assert isinstance(monitor, AlwaysMonitor)
    return monitor


def _sample(plan: ScenarioPlan) -> Sample:
    return BenchCockpit(plan).latest


def test_an_interval_that_has_seen_nothing_takes_a_late_sample() -> None:
    """A machine that stood still must not let an interval pass unseen."""
    plan = _plan()
    monitor, sample = _throughout(plan, 2.0), _sample(plan)
    assert monitor.looks_at(3.5)
    assert monitor.look(having(sample, time_s=3.5)) is None
    assert not monitor.looks_at(3.6), "it has seen one now"
    assert monitor.looks_at(2.9)
    assert not monitor.looks_at(3.0), "it ends just before its end"


def test_an_interval_sees_nothing_before_it_looks() -> None:
    monitor = _throughout(_plan(), 2.0)
    monitor.looks_from_s = 1.15
    assert not monitor.looks_at(1.1)
    assert monitor.looks_at(1.15)
