"""Who has hydraulic pressure, apart from how much fluid is where, which changes far more often."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World


@dataclass(frozen=True, slots=True)
class ServedFacts(Facts):
    """The consumers that have pressure.

    Attributes:
        served: their names.
    """

    served: tuple[str, ...] = ()

    def serves(self, consumer: str) -> bool:
        """Whether a consumer has pressure."""
        return consumer in self.served


class Served(System[ServedFacts]):
    """The consumers of the hydraulics."""

    title = "Hydraulics"

    def __init__(self) -> None:
        super().__init__()
        self.facts = ServedFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without hydraulics."""
        return None if build.aircraft.optional(HydraulicsParameters) is None else cls()

    def update(self, now_s: float, world: World) -> ServedFacts:
        """Follow the hydraulics."""
        served = world[HydraulicsFacts].served
        return self.facts if served == self.facts.served else ServedFacts(served)
