"""Brakes."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_brakes import stage


def events() -> list[Event]:
    """Every event of the brakes."""
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, parking_lever=0.0)
    brakes.fault("parking_brake", "sticking")
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, parking_lever=0.0)
    brakes.fault("parking_brake", None)
    brakes.after(1.0, parking_lever=1.0, has_pressure=False, has_parking_pressure=False)
    brakes.after(100000.0)
    brakes.after(1.0, has_parking_pressure=True)
    brakes.after(1.0, parking_lever=0.0, has_parking_pressure=False)
    brakes.fault("brake_accumulator", "empty")
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, emergency_lever=1.0)
    brakes.after(1.0, emergency_lever=0.0)
    return brakes.events
