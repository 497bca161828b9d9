"""Scenarios in virtual time: the logic with a panel and an aircraft, from event to event."""

from panelbridge.bench.world.runner import run_scenario
from panelbridge.bench.world.virtual_world import BenchWorld

__all__ = ["BenchWorld", "run_scenario"]
