"""The numbers of the wheel lock."""

from __future__ import annotations

from panelbridge.logic.gear.parameters import LegName
from panelbridge.logic.kit.parameters import Parameters


class WheelLockParameters(Parameters):
    """Lock of a wheel that swivels or is steered."""

    leg: LegName
    """Name of the leg whose wheel it locks, one of 'legs' or 'fixed_legs'. If it is the leg that is
    steered, the steering engages only while it is unlocked."""
    locked_at_start: bool = False
    """How it is found when the panel starts: a button that springs back does not show it."""
