"""The language of scenarios: YAML files in, checked plans out, every error with its place."""

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.targets import Targets

__all__ = ["Names", "ScenarioPlan", "Targets", "load_scenarios"]
