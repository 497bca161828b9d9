"""Landing with the parking brake set."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_landing_brake import stage


def events() -> list[Event]:
    """Set in the air."""
    one = stage()
    one.after(1.0, parked=True)
    return one.events
