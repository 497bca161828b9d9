"""Heat of the brakes."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.test_brake_heat import stage, stop


def events() -> list[Event]:
    """Too hot, a fuse plug, cool again."""
    made = stage()
    stop(made)
    made.after(4 * 3600.0)
    return [*made.events]
