"""What the time of the simulation publishes, and the cell that says how much was skipped."""

from __future__ import annotations

from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import Facts

SKIPPED_S: Handle[float] = Handle("skipped_time_s")
"""Time of the run that did not pass in the logic, for the computer stood still, s; a sum."""


HIGHEST_RATE = 64.0


class SimulationFacts(Facts, frozen=True):
    """How fast time passes.

    Attributes:
        rate: seconds of the simulation in a second of the run; 0 = paused.
    """

    rate: float = 1.0


def rate_of(paused: bool | None, rate: float | None) -> float:
    """Seconds of the simulation in a second of the run, 0 (paused) to ``HIGHEST_RATE``."""
    if paused:
        return 0.0
    return min(max(rate, 0.0), HIGHEST_RATE) if rate is not None and rate == rate else 1.0  # noqa: PLR0124
