"""What a run was and whether it was right: trace, conditions, monitors, laws, judge."""

from panelbridge.bench.verdict.judge import Judge
from panelbridge.bench.verdict.laws import LawWatch
from panelbridge.bench.verdict.trace import Sample, ScenarioResult, Trace

__all__ = ["Judge", "LawWatch", "Sample", "ScenarioResult", "Trace"]
