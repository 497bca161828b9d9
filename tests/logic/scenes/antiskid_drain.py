"""Anti-skid that empties the accumulator."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.brake_jet import BrakeJet


def events() -> list[Event]:
    """Its caution: the engines of the jet stand, anti-skid stays on."""
    return list(BrakeJet(antiskid=True).at(10.0).events)
