"""The step loop of scenarios, and their world in virtual time: from due time to due time."""

from panelbridge.bench.world.runner import Runner, ScenarioWorld
from panelbridge.bench.world.virtual_world import VirtualWorld, run_scenario

__all__ = ["Runner", "ScenarioWorld", "VirtualWorld", "run_scenario"]
