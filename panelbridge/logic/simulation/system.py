"""Whether the simulation is paused, and how fast it runs: its events, and the rate for the logic.

All of this is our own decision. Unknown is neither paused nor faster: data that is lost must not
hold the panel.
"""

from __future__ import annotations

from typing import Self

from msgspec import Struct

from panelbridge.logic.kit.aircraft_cells import PAUSED, SIMULATION_RATE
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.simulation.facts import SKIPPED_S, SimulationFacts, rate_of
from panelbridge.signals import Level


class _SimulationMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        skipped_s: time that was skipped and reported, s.
    """

    skipped_s: float = 0.0


class Simulation(System[SimulationFacts]):
    """The time of the simulation."""

    events = {
        "simulation_paused": (Level.INFO, "the simulation is paused: the panel stands still"),
        "simulation_resumed": (Level.INFO, "the simulation goes on"),
        "time_skipped": (
            Level.CAUTION,
            "the computer stood still: {skipped} s were skipped",
        ),
    }
    memory: _SimulationMemory

    def __init__(self) -> None:
        super().__init__()
        self.facts, self.memory = SimulationFacts(), _SimulationMemory()

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has it."""
        return cls()

    def update(self, now_s: float, world: World) -> SimulationFacts:
        """Take the rate, and report what has changed."""
        before, facts = self.facts, SimulationFacts(rate_of(world[PAUSED], world[SIMULATION_RATE]))
        if (facts.rate == 0.0) is not (before.rate == 0.0):
            self.note(now_s, "simulation_resumed" if facts.rate else "simulation_paused")
        skipped_s = world[SKIPPED_S] or 0.0
        if skipped_s > self.memory.skipped_s:
            skipped = skipped_s - self.memory.skipped_s
            self.memory = _SimulationMemory(skipped_s)
            self.note(now_s, "time_skipped", skipped=f"{skipped:.0f}")
        return facts
