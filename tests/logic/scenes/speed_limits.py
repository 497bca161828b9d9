"""Speed limits."""

from __future__ import annotations

from panelbridge.signals import Happening
from tests.logic.test_speed_limits import down, stage


def happenings() -> list[Happening]:
    """Above VLE with the gear down, and slower again."""
    speed = stage()
    down(speed, kias=250.0)
    down(speed, kias=100.0)
    return speed.happenings
