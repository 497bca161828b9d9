"""Speed limits."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_speed_limits import down, stage


def events() -> list[Event]:
    """Above VLE with the gear down, and slower again."""
    speed = stage()
    down(speed, kias=250.0)
    down(speed, kias=100.0)
    return speed.events
