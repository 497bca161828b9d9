"""The gauge of the hydraulic pressure, also for an aircraft without hydraulics."""

from __future__ import annotations

from math import inf
from typing import Self

from panelbridge.logic.hydraulics.facts import FedPressureFacts, HydraulicsFacts
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED, HYDRAULIC_PRESSURE_PSI
from panelbridge.logic.kit.declarations import Gauge, Signal
from panelbridge.logic.kit.readings import Reading, below
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World

GAUGE_STEP_PSI = 10.0
"""The gauge is moved in steps of this size, so that noise makes no new outputs."""


def gauge_of(kind: type[HydraulicsFacts] | type[FedPressureFacts]) -> tuple[Gauge, Signal]:
    """The gauge of these facts, and what it shows as a value; unknown while the bus is dead."""

    def read(world: World) -> float | None:
        return world[kind].gauge_psi

    def shown(world: World) -> float | None:
        psi = read(world)
        if psi is None or world[BUS_POWERED] is False:
            return None
        return round(psi / GAUGE_STEP_PSI) * GAUGE_STEP_PSI

    signal = Signal(
        "hydraulic_gauge_psi",
        "number",
        "hydraulic pressure gauge",
        shown,
        unit="psi",
        low=0.0,
        high=10_000.0,
        group="gear",
    )
    return Gauge("hydraulic_pressure", "hydraulic pressure", "psi", GAUGE_STEP_PSI, read), signal


class NearestStep(Reading[int]):
    """The whole step that is nearest to the pressure, without play."""

    def take(self, number: float | None, before: int | None) -> int | None:
        """The step, or None while the pressure is unknown."""
        return None if number is None else round(number / GAUGE_STEP_PSI)

    def band(self, reading: int | None) -> tuple[float, float]:
        """While low < number <= high the step stays."""
        if reading is None:
            return inf, -inf
        middle, half = reading * GAUGE_STEP_PSI, GAUGE_STEP_PSI / 2.0
        return middle - half, below(middle + half)


_GAUGE, _GAUGE_SIGNAL = gauge_of(FedPressureFacts)


class FedPressure(System[FedPressureFacts]):
    """The pressure that the feed reports, on the gauge of an aircraft without hydraulics."""

    gauges = (_GAUGE,)
    values = (_GAUGE_SIGNAL,)

    def __init__(self) -> None:
        super().__init__()
        self._step = NearestStep(HYDRAULIC_PRESSURE_PSI)
        self.readings = (self._step,)
        self.facts = FedPressureFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft with hydraulics, which move the gauge themselves."""
        has_hydraulics = build.aircraft.optional(HydraulicsParameters) is not None
        return None if has_hydraulics else cls()

    def update(self, now_s: float, world: World) -> FedPressureFacts:
        """Follow the feed."""
        steps = world[self._step]
        return FedPressureFacts(None if steps is None else steps * GAUGE_STEP_PSI)
