"""The step loop of scenarios, and their world in virtual time: from due time to due time."""

from panelbridge.bench.world.runner import ScenarioWorld
from panelbridge.bench.world.virtual_world import VirtualWorld, run_scenario

__all__ = ["ScenarioWorld", "VirtualWorld", "run_scenario"]
