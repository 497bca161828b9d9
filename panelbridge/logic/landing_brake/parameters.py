"""The numbers of the warning of a landing with the parking brake set."""

from __future__ import annotations

from typing import Literal

from panelbridge.logic.kit.parameters import Parameters


class LandingBrakeParameters(Parameters):
    """Landing with the parking brake set: advice, no published rule asks for it."""

    caution: bool = True
    """There is a caution for it, with its lamp."""
    horn_pattern: Literal["silent", "intermittent", "continuous"] = "silent"
    """How the horn sounds for it."""
